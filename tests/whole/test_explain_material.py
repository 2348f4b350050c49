"""`explain` for a material: the parts it stands or falls in, each reason with its agent, figure and source."""

import json

import pytest

from advisor.cli import main

SITE = """
site: Acid station
others: none
unit: {kind: sensor, connection: connector, inside: closed}
exposure: [{agent: nitric acid, strength: 5 %, temperature: 20 degC, duration: 8 h}]
air: {low: 10 degC, high: 30 degC, humidity: 50 %, coldest_surface: 25 degC}
"""


@pytest.fixture
def site(tmp_path):
    path = tmp_path / "site.yaml"
    path.write_text(SITE, encoding="utf-8")
    return str(path)


def test_a_ruled_out_material_is_explained_with_its_agent_and_source(site, capsys):
    assert main(["explain", site, "PA66"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "PA66: ruled out" in text
    assert "nitric acid (5 %, 20 °C" in text
    assert "exposure = agent nitric acid" in text


def test_a_material_is_found_by_any_of_its_names(site, capsys):
    found = []
    for name in ("316L", "1.4404", "ss 316l"):
        assert main(["explain", site, name, "--format", "json"]) == 0
        found.append(json.loads(capsys.readouterr().out)["demands"])
    assert found[0] == found[1] == found[2]
    assert {entry["materials"][0]["material"] for entry in found[0]} == {"ss-316l"}


def test_the_materials_of_a_part_stand_with_their_reasons_the_best_first(site, capsys):
    assert main(["explain", site, "material.housing"]) == 0
    text = capsys.readouterr().out
    assert text.index(": take:") < text.index(": ruled out:")


def test_a_material_ruled_out_only_by_what_is_told_has_its_reason(tmp_path, capsys):
    path = tmp_path / "site.yaml"
    path.write_text("site: x\nothers: none\nimmersion: {kind: puddle, temperature: 90 degC}\n", "utf-8")
    assert main(["explain", str(path), "ABS"]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert "ABS: ruled out: liquid of 90 °C stands on it" in page
    assert "[hot-puddle]" in page
