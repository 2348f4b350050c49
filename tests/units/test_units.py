"""Units: what pint says of a spelling is kept, and a kept spelling means the same without pint."""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import ROOT

from advisor import cache as kept
from advisor import units
from advisor.units import QuantityError, Unit, unit_of

SPELLINGS = ("bar", "psi", "°C", "degF", "kA/m", "W/m2K", "percent", "1/K", "µg/m³", "gpm", "m^2")


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("SITEWORTHY_CACHE", str(tmp_path))
    units.spelled.cache_clear()
    yield tmp_path
    units.spelled.cache_clear()


def forget() -> None:
    """As if the program were started again."""
    units.spelled.cache_clear()


def test_a_kept_spelling_needs_no_pint(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read = {word: unit_of(word) for word in SPELLINGS}
    units.keep()
    forget()
    monkeypatch.setattr(units, "_registry", lambda: pytest.fail("pint was asked"))
    assert {word: unit_of(word) for word in SPELLINGS} == read
    assert read["°C"] == Unit("K", 1.0, 273.15)


def test_a_new_spelling_joins_those_that_are_kept(cache: Path) -> None:
    unit_of("bar")
    units.keep()
    forget()
    unit_of("psi")
    units.keep()
    forget()
    assert set(units.spelled().known) == {"bar", "psi"}


def test_what_is_no_unit_is_not_kept(cache: Path) -> None:
    for word in ("bara", "flurb", "2**3"):
        with pytest.raises(QuantityError):
            unit_of(word)
    units.keep()
    assert not list(cache.iterdir())


@pytest.mark.parametrize("entry", [None, [], 5, {}, {"known": 5}, {"known": {"bar": ["Pa", 1, 2, 3]}}, {"known": {}}])
def test_an_entry_of_another_form_is_passed_over(cache: Path, entry: object) -> None:
    kept.write_plain(units._name(), entry)
    assert unit_of("bar") == Unit("Pa", 1e5)


def test_a_damaged_entry_is_passed_over(cache: Path) -> None:
    unit_of("bar")
    units.keep()
    for path in cache.iterdir():
        path.write_text(path.read_text("utf-8").replace("100000.0", "200000.0"), "utf-8")
    forget()
    assert unit_of("bar") == Unit("Pa", 1e5)


def test_a_warm_command_does_without_pint(tmp_path: Path) -> None:
    code = (
        "import io, sys; from contextlib import redirect_stdout as quiet; from advisor.cli import main\n"
        "with quiet(io.StringIO()): main(['require', 'scenarios/ready-meals-washdown', '--proofs'])\n"
        "print('pint' in sys.modules)"
    )
    env = {"PYTHONPATH": str(ROOT), "SITEWORTHY_CACHE": str(tmp_path)}
    call = [sys.executable, "-c", code]
    said = [subprocess.run(call, env=env, cwd=ROOT, capture_output=True, text=True, check=True) for _ in range(2)]
    assert [run.stdout for run in said] == ["True\n", "False\n"]
