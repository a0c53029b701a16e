"""Strips from a spreadsheet: the same figures as from TOML, whatever it puts between cells and before decimals."""

import csv
import io

import pytest

from flatten.findings import Message
from flatten.leather.limits import leather_limits
from flatten.leather.model import LeatherError
from flatten.leather.strips import read_strip_test
from flatten.leather.striptold import job_lines, strip_findings, strip_lines
from flatten.words import say

TOML = """
load = "10 kg"
width = "20 mm"
thickness = "3.2 mm"
strip = [
    {direction = "along", L0 = 100.0, L1 = 101.5, L2 = 105.25, L3 = 105.0, L4 = 104.0},
    {direction = "along", L0 = 100.0, L1 = 101.0, L2 = 106.5},
    {direction = "across", L0 = 99.5, L2 = 108.0},
]
unloaded = [{direction = "along", wet = 100.0, dried = 98.5}]
hardened = [{direction = "across", before = 100.0, after = 92.0}]
"""
COLUMNS = ["direction", "L0", "L1", "L2", "L3", "L4", "load", "width", "thickness", "wet", "dried", "before", "after"]
ROWS = [
    dict(zip(COLUMNS, ["along", 100.0, 101.5, 105.25, 105.0, 104.0, 10, 20, 3.2], strict=False)),
    {"direction": "along", "L0": 100.0, "L1": 101.0, "L2": 106.5},
    {"direction": "across", "L0": 99.5, "L2": 108.0},
    {},
    {"direction": "along", "wet": 100.0, "dried": 98.5},
    {"direction": "across", "before": 100.0, "after": 92.0},
]


def sheet(folder, rows=ROWS, *, between=",", decimal=".", first="", names=COLUMNS):
    """The rows as Python's own csv module writes them."""
    text = io.StringIO()
    writer = csv.DictWriter(text, names, delimiter=between, restval="")
    writer.writeheader()
    writer.writerows({key: str(value).replace(".", decimal) for key, value in row.items()} for row in rows)
    (folder / "strips.csv").write_text(first + text.getvalue(), "utf-8")
    return folder / "strips.csv"


@pytest.mark.parametrize(("between", "decimal"), [(",", "."), (";", ","), (";", "."), (",", ",")])
@pytest.mark.parametrize("first", ["", "\ufeff"])
def test_a_sheet_gives_what_toml_gives(tmp_path, between, decimal, first):
    """With commas for both, the csv module puts the numbers in quotes."""
    (tmp_path / "strips.toml").write_text(TOML, "utf-8")
    told = read_strip_test(tmp_path / "strips.toml")
    found = read_strip_test(sheet(tmp_path, between=between, decimal=decimal, first=first))
    for name in ("load_kg", "width", "thickness", "dry", "wet", "kept", "springback", "shrinkage", "hardening"):
        assert getattr(found, name) == getattr(told, name)
    assert found.wet[0].least == pytest.approx(0.0525)
    assert found.hardening == (None, told.hardening[1])
    assert told.hardening[1].mean == pytest.approx(0.08)
    assert [strip.where for strip in found.strips] == [f"line {n} of 'strips.csv'" for n in (2, 3, 4)]
    limits = leather_limits("strips.csv", folder=tmp_path)
    assert (
        limits == leather_limits("strips.toml", folder=tmp_path) or limits.in_force.stretch_along == told.wet[0].least
    )


def test_units_and_other_letters_may_stand_in_the_heading(tmp_path):
    text = "Direction;l0 (cm);L2 [cm];Load (kg);WIDTH;thickness (oz)\nAlong;10;10,5;8;2 cm;8\nacross;10;10,6;;;\n"
    (tmp_path / "strips.csv").write_text(text, "utf-8")
    test = read_strip_test(tmp_path / "strips.csv")
    assert (test.width, test.thickness, test.load_kg) == (20.0, pytest.approx(3.175), 8.0)
    assert test.wet[1].mean == pytest.approx(0.06)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("direction,L0,L5\n", "unknown column 'L5'; known are direction, L0"),
        ("direction,L0,L0\n", "column 'L0' twice"),
        ("L0,L2\n100,105\n", "no column 'direction'"),
        (
            "direction,L0,L2\nalong,100,0,105,2\n",
            "line 2 of 'strips.csv' has 5 cells for 3 columns; where decimals stand after a comma",
        ),
        ("direction,L0,L2,load,width,thickness\nalong,100,98,10,20,3\n", "line 2 of 'strips.csv' reads L2 = 98 mm"),
        ("direction,L0,L2,load,width\nalong,100,104,10,20\n", "strip test 'strips.csv' has no thickness"),
        ("direction,L0,L2,load,width,thickness\nalong,ten,105,10,20,3\n", "line 2 of 'strips.csv': L0: 'ten'"),
        (
            "direction,L0,L2,load,width,thickness\n\nup,100,105,10,20,3\n",
            "line 3 of 'strips.csv' has the direction 'up'",
        ),
        ("", "has no strip along the grain"),
    ],
)
def test_what_is_wrong_in_a_sheet_is_told_with_its_place(tmp_path, text, message):
    (tmp_path / "strips.csv").write_text(text, "utf-8")
    with pytest.raises(LeatherError, match=message.replace("(", r"\(")):
        read_strip_test(tmp_path / "strips.csv")


def codes(found: list[Message]) -> list[str]:
    return [each.code for each in found]


def three(*stretches, across=(8.0, 8.4, 8.9), load=10, thickness=3.2, **more):
    both = [("along", s) for s in stretches] + [("across", s) for s in across]
    rows = [
        {"direction": way, "L0": 100, "L2": 100 + s, "load": load, "width": 20, "thickness": thickness}
        for way, s in both
    ]
    return [row | more for row in rows]


NAMES = [*COLUMNS, "hide"]


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        (three(5.0, 5.6, 6.3), []),
        (three(5.0, 6.3), ["strips.few"]),
        (three(5.0, 5.6, 6.3, load=3), ["strips.light"]),
        # Of three, two alike and one apart; within a reading it is the ruler's.
        (three(5.0, 5.0, 8.0), ["strips.odd"]),
        (three(5.0, 5.0, 5.4), []),
        (
            [*three(5.0, 5.6, 6.3), *three(5.1, hide="north", across=()), *three(5.2, hide="south", across=())],
            ["strips.hides"],
        ),
        ([*three(5.0, 5.6, 6.3), *three(5.1, thickness=3.7, across=())], ["strips.thickness", "strips.loads"]),
        ([*three(5.0, 5.6, 6.3), *three(5.1, load=12, across=())], ["strips.loads"]),
    ],
)
def test_what_is_to_be_looked_at(tmp_path, rows, expected):
    found = strip_findings(read_strip_test(sheet(tmp_path, rows, names=NAMES)))
    assert codes(found) == expected


def test_each_figure_is_told_with_its_spread_and_lines_for_the_job(tmp_path):
    test = read_strip_test(sheet(tmp_path, three(5.0, 5.5, 6.0)))
    first, along, *_ = say.texts(strip_lines(test))
    assert "8.1 oz of 1/64 in, 8.0 oz of the trade" in first
    # mean 5.5, SD 0.5; 5.5 - 4.258 * 0.5 = 3.37
    assert "5.0 % for the weakest, 6.0 % for the best (mean 5.5 %, SD 0.5 %, 3 strips)" in along
    assert "in 1 case of 4. You may be 90 % sure that 90 % of such strips stretch by 3.4 % at least." in along
    wide = say.texts(strip_lines(read_strip_test(sheet(tmp_path, three(1.0, 5.5, 9.0)))))[1]
    assert "promise nothing for the rest of the hide" in wide
    lines = job_lines(read_strip_test(sheet(tmp_path, three(5.29, 5.5, 6.0))), None)
    assert 'stretch_along = "5.2 %", stretch_across = "8.0 %", squeeze_along = "3.0 %"' in lines
    assert job_lines(test, "mine.csv").endswith('limits = "mine.csv"\n')


def test_of_different_loads_the_lightest_is_told(tmp_path):
    test = read_strip_test(sheet(tmp_path, [*three(5.0, 5.6, 6.3), *three(5.1, load=12, across=())], names=NAMES))
    assert test.load_kg == 10.0
    assert "10 kg pulled with 1.53" in say.text(strip_lines(test)[0])
