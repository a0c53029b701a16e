import json
import math
from dataclasses import replace

import numpy as np
import pytest
from report_case import WEAR, calf_report, with_limb

from flatten.leather.waves import Wave
from flatten.limb.girths.girth import Girth
from flatten.report.numbers import SCHEMA, json_text, limb_numbers, report_numbers, scan_numbers

GIRTH = {"name", "height", "girth"}
KEYS = {
    "schema": None,
    "job": None,
    "making": None,
    "verdict": {"may_be_cut", "stops"},
    "scan": {"file", "unit", "unit_from", "scale", "faces_read", "faces_kept", "repairs", "side", "front_from"},
    "limb": {"kind", "length", "fit", "girths"},
    "worn": {"offset", "girths"},
    "panels": {
        *("line_max", "line_min", "excess_line", "rim_max", "rim_min", "excess_rim", "most", "least"),
        *("name", "faces", "area", "flat_area", "stretch_max", "stretch_min", "raw_max", "raw_min", "over_share"),
        *("spread", "spread_patch", "spread_reachable", "least_spread", "excess", "excess_patch", "converged"),
        *("verdict", "fits_limits", "limits", "fits_girth", "bend", "regions", "part", "thickness"),
        "forming",
    },
    "pieces": {"name", "side", "part", "thickness", "width", "height", "area", "cut_length", "holes"}
    | {"corners", "edge_lines", "no_tooling", "tooling_only", "finished"},
    "lips": None,
    "symmetry": None,
    "limbs": {"side", "kind", "file", "scale", "girths", "panels", "lips", "symmetry", "seams", "wearing"}
    | {"fittings", "mockup", "finished", "springback"},
    "seams": None,
    "parts": None,
    "lames": None,
    "hardware": None,
    "hardware_total": {"name", "count", "length", "sold", "hole", "inner", "flange", "width"},
    "shopping": {"item", "sort", "measure", "needed", "spare", "buy"},
    "costs": None,
    "leather": {"thickness", "area", "mass", "by_thickness", "sheets", "shrinkage", "hardening"},
    "wearing": None,
    "fittings": None,
    "mockup": None,
    "order": {"step", "name", "work", "cautions"},
    "former": None,
    "ornament": {"piece", "field", "warp", "motifs"},
    "findings": {"code", "severity", "place", "figures", "text"},
}
INNER = {
    ("verdict", "stops"): {"code", "key", "side", "sure", "settled", "text"},
    ("scan", "repairs"): {"code", "count"},
    ("limb", "girths"): GIRTH,
    ("worn", "girths"): GIRTH,
    ("limbs", "girths"): GIRTH,
    ("panels", "regions"): {"name", "along_max", "along_min", "across_max", "across_min", "over_share", "verdict"},
    ("pieces", "holes"): {"kind", "diameter", "count", "after_forming"},
    ("order", "work"): {"code", "figures", "text"},
}


@pytest.fixture(scope="module")
def numbers(calf):
    return json.loads(json_text(report_numbers(calf)))


def rows(value):
    return value if isinstance(value, list) else [value]


def test_every_key_of_the_schema_is_there_in_its_order(numbers):
    assert list(numbers) == list(KEYS)
    for key, wanted in KEYS.items():
        for row in rows(numbers[key]):
            assert wanted is None or set(row) == wanted, key
    for (outer, inner), wanted in INNER.items():
        found = [entry for row in rows(numbers[outer]) for entry in row[inner]]
        assert found
        assert all(set(entry) == wanted for entry in found)


def test_the_schema_has_a_version(numbers):
    assert numbers["schema"] == SCHEMA == 2


def test_what_was_not_computed_is_null(numbers):
    panel = numbers["panels"][0]
    assert panel["least_spread"] is None
    assert numbers["leather"]["sheets"] is None


def test_a_limit_figure_that_was_not_sought_is_null(calf, limb):
    sought = replace(limb.panels[0], flat=replace(limb.panels[0].flat, spread_reachable=math.nan, excess=math.nan))
    text = json_text(report_numbers(with_limb(calf, panels=(sought,))))
    assert "NaN" not in text
    panel = json.loads(text)["panels"][0]
    assert panel["spread_reachable"] is panel["excess"] is None


def test_a_girth_range_that_is_unknown_is_null(calf, limb):
    unknown = replace(limb.panels[0], fits_girth=None, least_spread=0.04)
    panel = report_numbers(with_limb(calf, panels=(unknown,)))["panels"][0]
    assert panel["fits_girth"] is None
    assert panel["least_spread"] == 0.04


def test_the_same_job_gives_the_same_text(calf, numbers):
    assert json_text(report_numbers(calf_report())) == json_text(report_numbers(calf))


def test_numbers_are_rounded_and_never_minus_zero():
    assert json_text({"a": -1e-9, "b": 1.23456789, "c": [math.inf, np.float64(2.0)], "d": True, "e": 7}) == (
        '{\n  "a": 0.0,\n  "b": 1.234568,\n  "c": [\n    null,\n    2.0\n  ],\n  "d": true,\n  "e": 7\n}\n'
    )


def test_the_neutral_surface_lies_at_under_ease_and_half_the_thickness(numbers):
    # Girth to cover = skin girth + 2π × (clothing + padding) + ease, and π·t for the mid-line [derived].
    assert numbers["worn"]["offset"] == pytest.approx(3.0 + 8.0 / (2 * math.pi) + 1.6, abs=1e-6)


def test_padding_that_differs_by_side_gives_its_mean(calf):
    report = replace(calf, wear=replace(WEAR, under=(8.0, 4.0, 2.0, 4.0)))
    assert report_numbers(report)["worn"]["offset"] == pytest.approx(4.5 + 8.0 / (2 * math.pi) + 1.6, abs=1e-9)


def test_the_limb_is_told_by_the_tape_and_the_leather_by_its_line(calf):
    report = with_limb(calf, girths=(Girth("", 75.0, 240.0, 231.0),), worn_girths=(Girth("", 75.0, 280.0, 271.0),))
    found = report_numbers(report)
    assert found["limb"]["girths"] == [{"name": "", "height": 75.0, "girth": 231.0}]
    assert found["worn"]["girths"] == [{"name": "", "height": 75.0, "girth": 280.0}]


def test_each_limb_is_told_in_a_record_of_its_own_with_what_is_told_of_the_first(calf, limb, numbers):
    (alone,) = numbers["limbs"]
    assert (alone["side"], alone["kind"], alone["file"]) == ("left", "lower leg", "watch-leg.ply")
    assert alone["girths"] == numbers["limb"]["girths"]
    assert all(numbers["panels"][0][name] == figure for name, figure in alone["panels"][0].items())
    both = replace(calf, limbs=(limb, replace(limb, limb=replace(limb.limb, side="right"))))
    assert [record["side"] for record in report_numbers(both)["limbs"]] == ["left", "right"]


def test_a_limb_is_as_long_as_its_landmarks_lie_apart(limb):
    assert limb_numbers(limb.limb, limb.skin, girths=())["length"] == 365.0
    alone = replace(limb.limb, landmarks=limb.limb.landmarks[:1])
    assert limb_numbers(alone, limb.skin, girths=())["length"] is None


def test_the_scan_tells_what_was_done_to_it(limb):
    found = scan_numbers(limb.scan, limb.limb)
    assert found["repairs"] == [{"code": "welded", "count": 12}, {"code": "floor", "count": 811}]
    assert (found["unit_from"], found["side"], found["front_from"]) == ("guessed", "left", "foot")


def test_panel_figures_are_those_of_the_stretch(limb, numbers):
    stretch, panel = limb.panels[0].stretch, numbers["panels"][0]
    assert panel["stretch_max"] == pytest.approx(stretch.largest.stretch, abs=1e-6)
    assert panel["stretch_min"] == pytest.approx(stretch.smallest.stretch, abs=1e-6)
    assert panel["spread"] == pytest.approx(math.log(panel["raw_max"] / panel["raw_min"]), abs=1e-5)
    assert panel["spread_patch"] == pytest.approx(math.log(panel["stretch_max"] / panel["stretch_min"]), abs=1e-5)
    assert panel["raw_min"] <= panel["stretch_min"] < 1.0 < panel["stretch_max"] <= panel["raw_max"]
    assert panel["flat_area"] == pytest.approx(panel["area"], rel=2 * (panel["raw_max"] - panel["raw_min"]))


def test_a_piece_is_measured_and_its_holes_counted(numbers):
    piece = numbers["pieces"][0]
    assert piece["holes"] == [{"kind": "eyelet", "diameter": 5.0, "count": 18, "after_forming": False}]
    assert piece["area"] == pytest.approx(numbers["panels"][0]["flat_area"], rel=1e-9)
    assert piece["cut_length"] > 2 * (piece["width"] + piece["height"]) * math.pi / 4 * 0.9


def test_the_leather_weighs_what_its_area_and_thickness_say(numbers):
    # 3.2 kg/m² at 3.2 mm [derived; density 1.0 g/cm³ from memory]
    leather = numbers["leather"]
    assert leather["area"] == pytest.approx(sum(piece["area"] for piece in numbers["pieces"]), abs=1e-5)
    assert leather["mass"] == pytest.approx(leather["area"] * 3.2e-3, rel=1e-6)


def test_the_jobs_own_findings_come_first(numbers):
    over, first, second, *_ = numbers["findings"]
    assert (over["code"], over["severity"]) == ("leather.over limits", "stop")
    assert first["text"].startswith("The scan names no unit")
    assert (first["code"], first["figures"]) == ("tape.unit guessed", {"unit": "mm"})
    assert (first["severity"], second["severity"]) == ("look", "note")
    assert "not protective equipment" in second["text"]
    assert second["code"] == "caution.not protective"


def test_a_finding_tells_its_place_and_its_figures(calf, limb):
    overlapping = replace(limb.panels[0], flat=replace(limb.panels[0].flat, overlaps=2))
    trouble = report_numbers(with_limb(calf, panels=(overlapping,)))["findings"][0]
    assert (trouble["code"], trouble["severity"]) == ("report.overlaps", "stop")
    assert trouble["place"] == dict.fromkeys(("limb", "zero", "height", "side", "bearing")) | {"part": "whole"}
    assert trouble["figures"] == {"piece": "whole"}
    wave = Wave("top edge", 1.5, 280.0, np.pi)
    told = report_numbers(with_limb(calf, panels=(replace(limb.panels[0], waves=(wave,)),)))["findings"][2]
    assert told["place"] == {
        "limb": None,
        "zero": "zero.ankle",
        "height": 280.0,
        "side": "back",
        "bearing": np.pi,
        "part": "top edge",
    }
    assert told["figures"]["where"] == "at the back, 280 mm above the ankle"
    assert told["figures"]["size"] == 1.5
