"""Where results go: never over what they were made from, and a full disk is one line."""

from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess, run
from sys import executable

import pytest
from conftest import ROOT

SITE = "site: A point\nothers: none\nair: {low: 5 degC, high: 30 degC}\n"
Program = Callable[..., CompletedProcess[str]]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "site.yaml").write_text(SITE, encoding="utf-8")
    (tmp_path / "switch.txt").write_text("IP67\n-20 ... 70 °C\n", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("target", ["site.yaml", "switch.txt"])
def test_a_result_never_overwrites_what_it_was_made_from(program: Program, folder: Path, target: str) -> None:
    before = (folder / target).read_text("utf-8")
    done = program("audit", folder, folder / "switch.txt", "-o", folder / target)
    assert done.returncode == 2
    assert "is what was read" in done.stderr
    assert (folder / target).read_text("utf-8") == before


def test_a_full_standard_output_is_one_line(folder: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("no /dev/full here")
    with open("/dev/full", "w", encoding="utf-8") as full:
        call = [executable, "-m", "advisor.cli", "require", str(folder)]
        done = run(call, stdout=full, stderr=-1, text=True, check=False, cwd=ROOT)
    assert done.returncode == 2
    assert "standard output: cannot be written" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_lowest_above_the_highest_is_refused(program: Program, folder: Path) -> None:
    (folder / "site.yaml").write_text("site: x\nair: {low: 40 degC, high: 10 degC}\n", encoding="utf-8")
    done = program("require", folder)
    assert done.returncode == 2
    assert "low '40 degC' lies above high '10 degC'" in done.stderr


def test_a_code_is_asked_about_as_people_write_it(program: Program, folder: Path) -> None:
    done = program("explain", folder, "IP67")
    assert done.returncode == 0
    assert "ingress.water IPX7" in done.stdout
