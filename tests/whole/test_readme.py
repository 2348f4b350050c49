"""What the README shows is what the program prints: every line of its outputs, in order, around the cuts."""

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BLOCK = re.compile(r"^```sh\n((?:(?!```).*\n)+)```\n\n```text\n((?:(?!```).*\n)+)```$", re.M)
CUT = "…"


def shown() -> list[tuple[str, str]]:
    return [(match[1].strip(), match[2]) for match in BLOCK.finditer((ROOT / "README.md").read_text(encoding="utf-8"))]


def test_the_readme_shows_outputs() -> None:
    assert len(shown()) >= 3


@pytest.mark.parametrize(("command", "output"), shown(), ids=[command for command, _ in shown()])
def test_output(command: str, output: str, program: Callable[..., subprocess.CompletedProcess[str]]) -> None:
    name, *arguments = command.split(" || ")[0].split()
    assert name == ".venv/bin/siteworthy"
    done = program(*arguments)
    printed = done.stdout.splitlines()
    at = 0
    for line in output.splitlines():
        if line.strip() == CUT or not line.strip():
            continue
        assert line in printed[at:], f"not printed by {command}: {line}\n{done.stderr}"
        at += printed[at:].index(line) + 1
