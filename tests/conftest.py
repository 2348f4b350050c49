"""What all tests share: one loaded rulebook a run, sites written in a line or two, and the program as a subprocess.

Property tests run a fixed set of examples, so that two runs give the same verdict. SITEWORTHY_TEST_DEPTH=N runs N
times as many, drawn anew each time, and makes a failing one as small as it can be.
"""

import gc
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings

ROOT = Path(__file__).resolve().parent.parent
SMALL = ROOT / "tests" / "units" / "bad_input" / "knowledge"
os.environ["SITEWORTHY_CACHE"] = ""
"""Tests neither read nor fill the cache of whoever runs them."""

DEPTH = int(os.environ.get("SITEWORTHY_TEST_DEPTH", "1"))
settings.register_profile(
    "siteworthy",
    deadline=None,
    derandomize=DEPTH == 1,
    database=None,
    print_blob=True,
    # Making a failing site smaller takes minutes; it is worth them only to whoever asks for depth.
    phases=[phase for phase in Phase if DEPTH > 1 or phase not in (Phase.shrink, Phase.explain)],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
settings.load_profile("siteworthy")

import strategies  # noqa: E402  the profile must stand before any test is drawn

from advisor import yamlfile  # noqa: E402
from advisor.advise import Advice, Advisor  # noqa: E402
from advisor.cli import RARELY  # noqa: E402
from advisor.loading import Loaded, load  # noqa: E402
from advisor.site import Site, read_site  # noqa: E402

gc.set_threshold(*RARELY)


@pytest.fixture(scope="session")
def loaded() -> Loaded:
    """The shipped rulebook."""
    return strategies.rulebook()


@pytest.fixture(scope="session")
def advisor(loaded: Loaded) -> Advisor:
    """The shipped rulebook with its network."""
    return Advisor(loaded)


@pytest.fixture(scope="session")
def site_of(loaded: Loaded) -> Callable[[str], Site]:
    """Read a site from YAML text; the line with its name is added."""
    return lambda text: read_site(yamlfile.parse(f"site: a test\n{text}", "site.yaml"), loaded.book)


@pytest.fixture(scope="session")
def advise(advisor: Advisor, site_of: Callable[[str], Site]) -> Callable[[str], Advice]:
    """Advise on a site given as YAML text."""
    return lambda text: advisor.advise(site_of(text))


@pytest.fixture
def small(tmp_path: Path) -> Callable[[str], Loaded]:
    """Load a few rules, given as YAML, over the small vocabulary of the tests of messages; its own rules are lifted."""

    def build(rules: str) -> Loaded:
        (tmp_path / "own").mkdir(exist_ok=True)
        lifted = "".join(f"- {{lift: {name}, reason: left out of this test}}\n" for name in ("base-hosed", "base-jet"))
        (tmp_path / "own" / "rules.yaml").write_text(rules + lifted, "utf-8")
        return load([tmp_path / "own"], knowledge=SMALL)

    return build


@pytest.fixture(scope="session")
def program(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., subprocess.CompletedProcess[str]]:
    """Run the program as a user does, with a cache that lives as long as the tests."""
    cache = tmp_path_factory.mktemp("cache")

    def run(
        *arguments: str | Path, cwd: Path | None = None, env: Mapping[str, str] | None = None, **more: Any
    ) -> subprocess.CompletedProcess[str]:
        own = {**os.environ, "PYTHONPATH": str(ROOT), "SITEWORTHY_CACHE": str(cache), **(env or {})}
        return subprocess.run(
            [sys.executable, "-m", "advisor.cli", *map(str, arguments)],
            cwd=cwd or ROOT, env=own, text=True, encoding="utf-8", capture_output=True, timeout=60, check=False, **more,
        )  # fmt: skip

    return run
