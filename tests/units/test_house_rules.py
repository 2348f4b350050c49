"""House rules that hold the code small, layered, and apart from the screen and from the engine's own library."""

import ast
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from conftest import ROOT

PYTHON = sorted(path for folder in ("advisor", "tui", "tests") for path in (ROOT / folder).rglob("*.py"))
CORE = [path for path in PYTHON if path.is_relative_to(ROOT / "advisor")]
LONGEST = 400


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def imports(path: Path) -> set[str]:
    """Every module that a file imports, inside functions too."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            folder = path.relative_to(ROOT).parent.parts
            parent = list(folder[: len(folder) + 1 - node.level]) if node.level else []
            module = ".".join([*parent, *([node.module] if node.module else [])])
            found |= {module} | {f"{module}.{alias.name}" for alias in node.names}
    return found


MODULES = {module_of(path): path for path in PYTHON if not path.is_relative_to(ROOT / "tests")}
GRAPH = {name: {found for found in imports(path) if found in MODULES} - {name} for name, path in MODULES.items()}


@pytest.mark.parametrize("path", PYTHON, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_file_is_longer_than_four_hundred_lines(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= LONGEST


@pytest.mark.parametrize("path", CORE, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_module_states_its_contract(path: Path) -> None:
    assert ast.get_docstring(ast.parse(path.read_text("utf-8")))


def test_only_the_chainer_imports_experta() -> None:
    users = {name for name, path in MODULES.items() if any(found.split(".")[0] == "experta" for found in imports(path))}
    assert users == {"advisor.engine.chaining"}


def test_the_core_knows_no_screen() -> None:
    users = {
        name for name in GRAPH if name.startswith("advisor") and any(found.startswith("tui") for found in GRAPH[name])
    }
    assert users <= {"advisor.cli"}
    for name, path in MODULES.items():
        if name.startswith("advisor") and name != "advisor.cli":
            assert not any(found.split(".")[0] in ("textual", "rich") for found in imports(path)), name


def test_no_module_imports_itself_round_a_circle() -> None:
    done: set[str] = set()

    def visit(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, f"circle: {' -> '.join((*trail[trail.index(name) :], name))}"
        if name not in done:
            for inner in sorted(GRAPH[name]):
                # A package's own file stands for its modules' parent, which every one of them needs.
                if not name.startswith(f"{inner}."):
                    visit(inner, (*trail, name))
            done.add(name)

    for name in sorted(GRAPH):
        visit(name, ())


LAYERS = (
    ("advisor.faults", "advisor.yamlfile", "advisor.resources", "advisor.quantities", "advisor.values",
     "advisor.schema", "advisor.vocabulary", "advisor.tables", "advisor.rulebook", "advisor.resistance"),
    ("advisor.engine", "advisor.topics", "advisor.proof", "advisor.whynot", "advisor.materials"),
    ("advisor.report", "advisor.relax", "advisor.interview", "advisor.audit"),
    ("advisor.cli", "tui"),
)  # fmt: skip


def layer(name: str) -> int | None:
    """The layer of a module; None for one that the design leaves between two layers."""
    return next(
        (number for number, parts in enumerate(LAYERS) for part in parts if f"{name}.".startswith(f"{part}.")),
        None,
    )


@pytest.mark.parametrize("name", sorted(GRAPH))
def test_arrows_run_one_way(name: str) -> None:
    own = layer(name)
    if own is not None:
        upwards = {found for found in GRAPH[name] if (other := layer(found)) is not None and other > own}
        assert not upwards


@pytest.mark.parametrize("name", sorted(name for name in GRAPH if name.startswith("advisor.physics")))
def test_physics_stands_alone(name: str) -> None:
    assert {found for found in GRAPH[name] if not found.startswith("advisor.physics")} <= {"advisor"}


def run(code: str) -> str:
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", code], env=env, text=True, capture_output=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_a_requirement_sheet_needs_no_screen(tmp_path: Path) -> None:
    (tmp_path / "site.yaml").write_text("site: x\nwash: {method: hose}\n")
    code = (
        "import sys; from advisor import cli; "
        f"code = cli.main(['require', {str(tmp_path / 'site.yaml')!r}, '-o', {str(tmp_path / 'out')!r}]); "
        "print(code, sorted({name.split('.')[0] for name in sys.modules} & {'textual', 'rich', 'tui'}))"
    )
    assert run(code) == "0 []"


def test_the_command_line_itself_is_light() -> None:
    heavy = {"experta", "pint", "pydantic", "textual"}
    code = f"import sys, advisor.cli; print(sorted({{name.split('.')[0] for name in sys.modules}} & {heavy}))"
    assert run(code) == "[]"


def test_the_engine_leaves_logging_and_collections_as_they_were() -> None:
    code = (
        "import collections, logging; handler = logging.NullHandler(); logging.root.addHandler(handler); "
        "before = (list(logging.root.handlers), logging.root.level); import advisor.engine.chaining; "
        "print(before == (list(logging.root.handlers), logging.root.level), hasattr(collections, 'Mapping'))"
    )
    assert run(code) == "True False"
    assert run(code.replace("logging.root.addHandler(handler); ", "")) == "True False"


@pytest.mark.parametrize(
    "path",
    [*CORE, *sorted((ROOT / "knowledge").rglob("*.yaml"))],
    ids=lambda path: str(path.relative_to(ROOT)),
)
def test_nothing_needs_this_machine(path: Path) -> None:
    text = path.read_text("utf-8")
    outside = (ROOT.parent, Path.home(), Path(tempfile.gettempdir()))
    assert not [place for place in outside if f"{place}/" in text]
    assert not re.search(r"(?<![\w.])\.\./\w", text), "what lies beside the project is not there elsewhere"
