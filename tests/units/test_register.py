"""Registers: verdicts are those of the audit, the cover is the smallest, a stopped run goes on, bad input is said."""

import itertools
import json
import random
from pathlib import Path

import pytest
from conftest import ROOT

from advisor import yamlfile
from advisor.advise import Advisor
from advisor.audit import Auditor
from advisor.engine.bounds import evaluate
from advisor.engine.bulk import Bulk
from advisor.faults import InputError
from advisor.loading import Loaded
from advisor.register import cover as covering
from advisor.register.command import csv_matrix, register_document
from advisor.register.cover import cover
from advisor.register.demands import Quick
from advisor.register.journal import Journal
from advisor.register.judge import Fare, Judge
from advisor.register.points import read_points
from advisor.register.run import Worker
from advisor.register.units import read_units
from advisor.rulebook import NOTE_TOPICS
from advisor.sheet import SheetReader
from advisor.site import load_site, read_site

SITES = sorted((ROOT / "scenarios").glob("*/site.yaml"))
HEADS = "site,others,wash.method,wash.pressure,wash.distance,wash.temperature,wash:2.method,immersion,air.low,air.high"
POINTS = f"""{HEADS}
Rinsed,none,lance,80 bar,150 mm,80 degC,splash,none,5 degC,40 degC
Dry,none,,,,,,none,5 degC,40 degC
Rinsed too,none,lance,80 bar,150 mm,80 degC,splash,none,5 degC,40 degC
Cold,none,,,,,,none,-30 degC,20 degC
"""
UNITS = """Type,Protection class,Ambient temperature,Housing material
Invented A,IP67,-25...+70 °C,1.4404
Invented B,IP69K / IP67 / IP66,-40...+100 °C,1.4404
=cmd(),IP67,-25...+70 °C,1.4404
Invented C,IP20,0...+50 °C,PBT
"""


def written(folder: Path, points: str = POINTS, units: str = UNITS) -> tuple[Path, Path]:
    (folder / "points.csv").write_text(points, "utf-8")
    (folder / "units.csv").write_text(units, "utf-8")
    return folder / "points.csv", folder / "units.csv"


def plain(facts: dict[str, object]) -> set[str]:
    notes = tuple(f"demand {topic}" for topic in NOTE_TOPICS)
    return {name for name in facts if not name.startswith(("spare ", *notes))}


def test_the_evaluator_for_many_concludes_what_the_one_for_one_does(loaded: Loaded) -> None:
    bulk = Bulk(loaded.rules, loaded.book)
    for path in [*SITES, *SITES[:4]]:
        facts = load_site(path, loaded.book).facts()
        rules = loaded.rules_for(facts)
        for certain in (True, False):
            alone = evaluate(rules, facts, loaded.book, certain=certain)
            made = bulk.run(facts, certain=certain)
            found = {fact.id: fact for own in made.facts.values() for fact in own}
            assert plain(found) == plain(alone.justifications), path
            for name in plain(found):
                assert found[name].slots == alone.facts[name].slots, name
                assert made.makers[name] == {why.rule for why in alone.justifications[name]}


def test_quick_demands_are_those_of_advise(loaded: Loaded, advisor: Advisor) -> None:
    quick = Quick(loaded)
    for path in SITES:
        site = load_site(path, loaded.book)
        ours, theirs = quick.demands(site).advice, advisor.advise(site)
        for one, other in zip(ours.demands, theirs.demands, strict=True):
            assert (one.topic, one.state, one.item, one.value, one.parameters, one.unknown) == (
                other.topic, other.state, other.item, other.value, other.parameters, other.unknown,
            )  # fmt: skip
            assert sorted((v.material, v.certain, v.possible) for v in one.materials) == sorted(
                (v.material, v.certain, v.possible) for v in other.materials
            )


def test_verdicts_are_those_of_the_audit(loaded: Loaded, advisor: Advisor, tmp_path: Path) -> None:
    sheets = sorted((ROOT / "scenarios").glob("*/units/*.yaml"))
    reader = SheetReader(loaded.book)
    units = read_units([written(tmp_path)[1], *sheets], reader)
    names = {unit.name: number for number, entry in enumerate(units.types) for unit in entry.units}
    quick, judge = Quick(loaded), Judge(units.types, loaded.book)
    seen = set()
    for path in SITES:
        site = load_site(path, loaded.book)
        fare = judge.fare(quick.demands(site))
        auditor = Auditor(advisor.advise(site), loaded.book)
        for sheet in sheets:
            unit = reader.load(sheet)
            verdict = auditor.audit(unit).verdict
            number = names[unit.name]
            ours = "fit" if fare.fit >> number & 1 else "unfit" if fare.unfit >> number & 1 else "unproven"
            assert ours == verdict, (path, sheet)
            seen.add(verdict)
    assert seen >= {"unfit", "unproven"}


BENCH = """
site: {name}
others: none
place: {{setting: indoor}}
unit: {{kind: sensor, inside: filled, connection: connector, running_temperature: 28 degC}}
air: {{low: 15 degC, high: 30 degC, humidity: {humidity} %, coldest_surface: 28 degC}}
sensing:
  {{principle: inductive, target: aluminum, mixed: "no", gap: 2 mm, build_up: 0 mm, surround: free, diameter: 12 mm}}
impact: [{{mass: 12 oz, height: 2 ft}}]
cable: {{movement: fixed}}
"""
DRY = """
unit: Invented sensor for dry air
claims: [Sn 12 mm, brass housing, IP67, -25...+70 °C (non-condensing), IK08, EN 60947-5-2, Relative humidity 35 to 85 %]
"""


def test_a_limit_of_place_counts_where_the_place_has_it(loaded: Loaded, advisor: Advisor, tmp_path: Path) -> None:
    (tmp_path / "unit.yaml").write_text(DRY, "utf-8")
    units = read_units([tmp_path / "unit.yaml"], SheetReader(loaded.book))
    quick, judge = Quick(loaded), Judge(units.types, loaded.book)
    for humidity, verdict in ((50, "fit"), (90, "unproven"), (50, "fit")):
        site = read_site(yamlfile.parse(BENCH.format(name="Bench", humidity=humidity), "site.yaml"), loaded.book)
        fare = judge.fare(quick.demands(site))
        unit = SheetReader(loaded.book).load(tmp_path / "unit.yaml")
        assert Auditor(advisor.advise(site), loaded.book).audit(unit).verdict == verdict
        assert ("fit" if fare.fit else "unfit" if fare.unfit else "unproven") == verdict


def test_a_register_in_short(loaded: Loaded, tmp_path: Path) -> None:
    points, units = written(tmp_path)
    document = register_document(points, [units], loaded)
    assert document.answers == 3
    assert [len(entry.units) for entry in document.types] == [2, 1, 1]
    by_name = {point.name: point for point in document.points}
    assert by_name["Rinsed"].group == by_name["Rinsed too"].group
    assert by_name["Rinsed"].unfit >= 3
    verdicts = document.groups[by_name["Cold"].group].verdicts
    assert verdicts[0] == "U"
    assert verdicts[2] == "U"
    assert by_name["Dry"].fit + by_name["Dry"].unproven + by_name["Dry"].unfit == document.units == 4
    assert [point.line for point in document.points] == [2, 3, 4, 5]


def test_cells_that_a_spreadsheet_would_run_are_disarmed(loaded: Loaded, tmp_path: Path) -> None:
    points, units = written(tmp_path, POINTS.replace("Dry,", "@SUM(A1),"), UNITS.replace("Invented B", "+1+cmd"))
    lines = list(csv_matrix(register_document(points, [units], loaded)))
    assert "'+1+cmd" in lines[0]
    assert lines[2].startswith("'@SUM(A1),")
    assert len(lines) == 5
    assert {len(line.split(",")) for line in lines} == {9}
    assert set(lines[1].strip().split(",")[6:]) <= {"fit", "unproven", "unfit"}


def fewest(rows: list[int], types: int) -> int:
    wanted = [row for row in rows if row]
    for size in range(types + 1):
        for chosen in itertools.combinations(range(types), size):
            bits = sum(1 << number for number in chosen)
            if all(row & bits for row in wanted):
                return size
    raise AssertionError


@pytest.mark.parametrize("seed", range(30))
def test_the_cover_is_the_smallest(seed: int) -> None:
    pytest.importorskip("scipy")
    draw = random.Random(seed)
    types = draw.randrange(2, 9)
    density = draw.choice((0.15, 0.3, 0.5))
    rows = [sum(1 << n for n in range(types) if draw.random() < density) for _ in range(draw.randrange(1, 14))]
    found = cover(rows, types)
    bits = sum(1 << number for number in found.types)
    assert found.proven
    assert all(row & bits for row in rows if row)
    assert list(found.unserved) == [number for number, row in enumerate(rows) if not row]
    assert len(found.types) == fewest(rows, types)


def test_greed_takes_more_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    # Types 0 and 1 serve three points each, type 2 four of the six: greed takes it first and then needs both others.
    rows = [0b001, 0b101, 0b101, 0b110, 0b110, 0b010]
    rows = [rows[0] | 0, *rows[1:]]
    if covering.importlib.util.find_spec("scipy"):
        assert cover(rows, 3).types == (0, 1)
    monkeypatch.setattr(covering.importlib.util, "find_spec", lambda name: None)
    found = cover(rows, 3)
    bits = sum(1 << number for number in found.types)
    assert all(row & bits for row in rows)
    assert not found.proven


def test_a_stopped_run_goes_on(loaded: Loaded, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    points, units = written(tmp_path)
    whole = register_document(points, [units], loaded)
    journal = tmp_path / "out.journal"
    first = register_document(points, [units], loaded, journal=journal)
    assert first == whole
    lines = journal.read_text("utf-8").splitlines()
    assert len(lines) == 1 + 3
    # Cut off within the last line, as a stopped machine leaves it.
    journal.write_text("\n".join(lines[:-1]) + "\n" + lines[-1][:-3], "utf-8")
    worked: list[int] = []
    before = Worker.work

    def work(self: Worker, given: list) -> object:
        worked.append(len(given))
        return before(self, given)

    monkeypatch.setattr(Worker, "work", work)
    again = register_document(points, [units], loaded, journal=journal)
    assert worked == [1]
    assert again.taken == 2
    assert again.model_copy(update={"taken": 0}) == whole
    assert register_document(points, [units], loaded, journal=journal).taken == 3
    assert worked == [1]


def test_a_journal_of_other_units_or_rules_counts_for_nothing(tmp_path: Path) -> None:
    path = tmp_path / "journal"
    with Journal(path, "rules", "units", 3) as journal:
        journal.add({"a": Fare(0b101, 0b010)})
    with Journal(path, "rules", "units", 3) as journal:
        assert journal.known == {"a": Fare(0b101, 0b010)}
    forged = path.read_text("utf-8").replace("a 5 2", "a 7 0")
    path.write_text(forged, "utf-8")
    with Journal(path, "rules", "units", 3) as journal:
        assert journal.known == {}
    for rules, units, types in (("other", "units", 3), ("rules", "other", 3), ("rules", "units", 4)):
        with Journal(path, rules, units, types) as journal:
            assert journal.known == {}


def test_what_is_no_journal_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear all", "utf-8")
    with pytest.raises(InputError, match="is no journal and is not written over"), Journal(path, "r", "u", 1):
        pass
    assert path.read_text("utf-8") == "Dear all"


def test_points_with_equal_answers_have_one_key(loaded: Loaded, tmp_path: Path) -> None:
    first, other, third, cold = read_points(written(tmp_path)[0], loaded.book)
    assert first.key == third.key
    assert len({first.key, other.key, cold.key}) == 3
    site = read_site(first.document, loaded.book)
    washes = [entry for entry in site.instances if entry.template == "wash"]
    assert [entry.answers["method"].text for entry in washes] == ["lance", "splash"]


def test_a_folder_of_sites_is_a_register(loaded: Loaded) -> None:
    points = read_points(ROOT / "scenarios", loaded.book)
    assert [point.source for point in points] == [str(path) for path in SITES]
    assert len({point.key for point in points}) == len(SITES)


@pytest.mark.parametrize(
    ("points", "what"),
    [
        (
            "site,wash.presure\nx,3 bar\n",
            "points.csv:1: the column 'wash.presure': wash has no slot 'presure'; did you",
        ),
        ("site,wsh.pressure\nx,3 bar\n", "points.csv:1: the column 'wsh.pressure' names no slot"),
        ("site,air:2.low\nx,3 degC\n", "points.csv:1: the column 'air:2.low': air stands only once for a point"),
        ("site,wash.pressure,wash.pressure\nx,1 bar,2 bar\n", "points.csv:1: the column wash.1.pressure stands twice"),
        ("site,wash.method\nx,hose\ny,hoze\n", "points.csv:3:2: method: 'hoze' is no choice; did you mean hose?"),
        ("site,wash:2.method,wash.method\nx,foam,hose\ny,scour,hose\n", "points.csv:3:2: method: 'scour' is no choice"),
        ("site,air.low\nx,\nz,5 bar\n", "points.csv:3:2: low: 'bar' does not measure the same thing as degC"),
        ("site,wash,wash.method\nx,none,hose\n", "points.csv:2:3: wash is said as a whole and by its slots too"),
        ("site,wash.method,wash\nx,hose,none\n", "points.csv:2:3: wash is said as a whole and by its slots too"),
        ("site\n", "points.csv: holds no point"),
    ],
)
def test_bad_points_are_one_line_each(points: str, what: str, loaded: Loaded, tmp_path: Path) -> None:
    paths = written(tmp_path, points)
    with pytest.raises(InputError) as caught:
        register_document(paths[0], [paths[1]], loaded)
    assert what in str(caught.value)
    assert all("points.csv" in line for line in str(caught.value).splitlines())


def test_all_faults_of_all_points_come_in_one_go(loaded: Loaded, tmp_path: Path) -> None:
    paths = written(tmp_path, "site,air.low\n" + "".join(f"p{n},{n} bar\n" for n in range(7)))
    with pytest.raises(InputError) as caught:
        register_document(paths[0], [paths[1]], loaded)
    assert len(str(caught.value).splitlines()) == 7


def test_processes_find_what_one_finds(loaded: Loaded, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from advisor.register import run

    points = "site,others,air.low,air.high\n" + "".join(f"p{n},none,{-n} degC,{30 + n} degC\n" for n in range(1, 12))
    paths = written(tmp_path, points)
    alone = register_document(paths[0], [paths[1]], loaded)
    monkeypatch.setattr(run, "ALONE", 0)
    monkeypatch.setattr(run, "AT_ONCE", 3)
    assert register_document(paths[0], [paths[1]], loaded, jobs=2) == alone
    assert json.loads(alone.model_dump_json(by_alias=True))["schema"] == "siteworthy.register/1"


def test_a_site_file_alone_is_a_register_of_one(loaded: Loaded, tmp_path: Path) -> None:
    (tmp_path / "one.yaml").write_text("site: one\nothers: none\n", "utf-8")
    assert len(read_points(tmp_path / "one.yaml", loaded.book)) == 1
    with pytest.raises(InputError, match="is no register of points"):
        read_points(tmp_path / "one.txt", loaded.book)
    assert yamlfile.load(tmp_path / "one.yaml").data["site"] == "one"
