"""Loading: all files, a plant's own rules on top, waivers, and the cache that changes nothing but the time."""

from pathlib import Path

import pytest
from conftest import SMALL

from advisor import yamlfile
from advisor.faults import InputError
from advisor.loading import Loaded, load

OWN = """
- rule: own-rule
  title: Own
  when: [{wash: {method: hose}}]
  then: [{demand: {topic: ingress.water, item: [IPX7]}}]
  because: B
  source: the plant
  basis: common practice
  kind: prudence
  checked: "2026-11"
- lift: base-hosed
  reason: The hoses of this plant have roses.
"""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    folder = tmp_path / "own" / "deeper"
    folder.mkdir(parents=True)
    (folder / "rules.yaml").write_text(OWN)
    return tmp_path / "own"


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "cache"
    monkeypatch.setenv("SITEWORTHY_CACHE", str(folder))
    return folder


def same(first: Loaded, second: Loaded) -> bool:
    def whole(loaded: Loaded) -> tuple[object, ...]:
        book = loaded.book
        rows = {name: table.rows for name, table in book.tables.items()}
        return book.rules, book.vocabulary, book.places, book.digest, book.waived, rows, loaded.rules

    return whole(first) == whole(second)


def test_own_rules_add_and_lift(own: Path) -> None:
    plain, with_own = load(knowledge=SMALL), load([own], knowledge=SMALL)
    assert set(plain.book.rules) == {"base-hosed", "base-jet"}
    assert set(with_own.book.rules) == {"base-jet", "own-rule"}
    assert with_own.book.waived == {"base-hosed": "The hoses of this plant have roses."}
    assert plain.book.digest != with_own.book.digest


def test_shipped_rules_lift_nothing(tmp_path: Path) -> None:
    knowledge = tmp_path / "knowledge"
    for path in SMALL.rglob("*.yaml"):
        target = knowledge / path.relative_to(SMALL)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(path.read_bytes())
    (knowledge / "rules" / "waiver.yaml").write_text("- lift: base-hosed\n  reason: It is in the way of a sale.\n")
    with pytest.raises(InputError, match="lift"):
        load(knowledge=knowledge)


def test_faults_of_several_files_in_one_go(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(OWN.replace("basis: common practice", "basis: hearsay"))
    (tmp_path / "b.yaml").write_text("- rule: [\n")
    (tmp_path / "c.yaml").write_text("- rule: [\n")
    with pytest.raises(InputError) as caught:
        load([tmp_path], knowledge=SMALL)
    assert {Path(fault.place.path).name for fault in caught.value.faults} >= {"b.yaml", "c.yaml"}


def test_the_cache_gives_the_same_rulebook(cache: Path, own: Path) -> None:
    cold = load([own], knowledge=SMALL)
    assert list(cache.glob("*.json"))
    warm = load([own], knowledge=SMALL)
    assert same(cold, warm)
    assert all(place.line for place in warm.book.places.values())


def test_a_warm_cache_parses_no_rule_file(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    load(knowledge=SMALL)
    monkeypatch.setattr(yamlfile, "load", lambda *_: pytest.fail("a file was parsed"))
    load(knowledge=SMALL)


@pytest.mark.parametrize(
    "content",
    [
        "",
        "{{{",
        "null",
        "[]",
        "5",
        '"x"',
        '{"a": 1}',
        "[5]",
        '[["a", 5]]',
        '[["a", 5, {}]]',
        '[["a", [], {"x": 1}]]',
        "\x00",
        "[[[]]]",
    ],
)
def test_a_corrupt_cache_is_passed_over(cache: Path, content: str) -> None:
    cold = load(knowledge=SMALL)
    for path in cache.glob("*.json"):
        path.write_text(content)
    assert same(load(knowledge=SMALL), cold)


def test_a_cache_with_other_content_is_passed_over(cache: Path) -> None:
    cold = load(knowledge=SMALL)
    for path in cache.glob("*.json"):
        path.write_text(path.read_text("utf-8").replace("hose", "rose"), "utf-8")
    assert same(load(knowledge=SMALL), cold)


def test_the_cache_takes_away_only_its_own_files(cache: Path) -> None:
    cache.mkdir()
    for number in range(40):
        (cache / f"mine-{number}.json").write_text("{}")
    load(knowledge=SMALL)
    assert len(list(cache.glob("mine-*.json"))) == 40


def test_a_cache_that_cannot_be_written_is_no_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("a file where a folder should be")
    monkeypatch.setenv("SITEWORTHY_CACHE", str(blocked))
    assert load(knowledge=SMALL).rules


def test_a_changed_file_is_read_again(cache: Path, own: Path) -> None:
    load([own], knowledge=SMALL)
    path = own / "deeper" / "rules.yaml"
    path.write_text(path.read_text().replace("title: Own", "title: Changed"))
    assert load([own], knowledge=SMALL).book.rules["own-rule"].title == "Changed"


def test_a_fault_found_with_a_warm_cache_has_its_place(cache: Path, own: Path) -> None:
    load([own], knowledge=SMALL)
    path = own / "deeper" / "rules.yaml"
    path.write_text(path.read_text().replace("kind: prudence", "kind: opinion"))
    for _ in range(2):
        with pytest.raises(InputError) as caught:
            load([own], knowledge=SMALL)
        assert caught.value.faults[0].place.line == 9


def test_an_empty_setting_switches_the_cache_off(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SITEWORTHY_CACHE", "")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    load(knowledge=SMALL)
    assert not list(tmp_path.iterdir())
