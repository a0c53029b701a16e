"""What a job costs: sums that a maker can check with paper and pencil, to the cent."""

from decimal import Decimal

import pytest

from flatten.findings import message
from flatten.job.shop import read_prices
from flatten.pattern.hardware import Hardware
from flatten.report.costs import cost_messages, cost_numbers, costed, shopping_rows
from flatten.report.shopping import Item, _hardware
from flatten.words import say

SQ_FT = 92903.04


def item(sort, key, needed, spare=0):
    return Item(sort, key, needed, spare, message("hardware.spares"))


def prices(folder, text):
    (folder / "prices.toml").write_text(text, "utf-8")
    return read_prices(folder / "prices.toml")


def cost(folder, bought, price):
    """The units and the cost of one item at one price."""
    told = prices(folder, f'[price]\n"{bought.key}" = "{price}"\n')
    (line,) = costed([bought], told).lines
    return str(line.units), str(line.cost)


@pytest.mark.parametrize(
    ("count", "packs", "price"),
    [(1, "1", "4.20"), (10, "1", "4.20"), (11, "2", "8.40"), (20, "2", "8.40"), (21, "3", "12.60"), (0, "0", "0.00")],
)
def test_packs_are_bought_whole(tmp_path, count, packs, price):
    assert cost(tmp_path, item("eyelet", "eyelet 5 x 5.5 mm", count), "4.20 per pack of 10") == (packs, price)


@pytest.mark.parametrize(
    ("bought", "price", "expected"),
    [
        (item("leather", "leather 3.2 mm", 2 * SQ_FT, SQ_FT / 2), "11.90 per sq ft", ("2.50", "29.75")),
        (item("leather", "leather 3.2 mm", 250_000.0), "120 per m²", ("0.25", "30.00")),
        (item("leather", "leather 3.2 mm", 250_000.0), "1.15 per dm²", ("25.00", "28.75")),
        # A hide that is just large enough, and one that is not.
        (item("leather", "leather 3.2 mm", 22 * SQ_FT), "180 per side of 22 sq ft", ("1", "180.00")),
        (item("leather", "leather 3.2 mm", 22.01 * SQ_FT), "180 per side of 22 sq ft", ("2", "360.00")),
        (item("leather", "leather 3.2 mm", 3 * SQ_FT), "95.50 per double shoulder of 12 sq ft", ("1", "95.50")),
        (item("thread", "thread", 12_000.0), "0.075 per m", ("12.00", "0.90")),
        (item("thread", "thread", 26_000.0), "6.50 per spool of 25 m", ("2", "13.00")),
        (item("buckle", "buckle 20 mm", 4), "1.35 each", ("4", "5.40")),
        (item("buckle", "buckle 20 mm", 4), "1.35 per piece", ("4", "5.40")),
        (item("print", "print", 2.2e6), "25 per litre", ("2.20", "55.00")),
        # What is cut to measure is charged by hundredths of its unit, upwards.
        (item("thread", "thread", 1_001.0), "1 per m", ("1.01", "1.01")),
    ],
)
def test_what_is_cut_to_measure_is_charged_by_it(tmp_path, bought, price, expected):
    assert cost(tmp_path, bought, price) == expected


def test_halves_of_a_cent_go_up_and_the_sum_is_exact(tmp_path):
    """Three lines of 0.105 are 0.11 each and 0.33 together; in binary 0.105 is a little less, and 0.1 + 0.2 more."""
    text = 'currency = "sh."\n[price]\n"thread" = "0.105 per m"\n"lace 1200 mm" = "0.105 each"\n'
    text += '"buckle 20 mm" = "0.105 each"\n'
    bought = [item("thread", "thread", 1000.0), item("lace", "lace 1200 mm", 1), item("buckle", "buckle 20 mm", 1)]
    found = costed(bought, prices(tmp_path, text), pieces=2)
    assert [line.cost for line in found.lines] == [Decimal("0.11")] * 3
    assert found.total == Decimal("0.33")
    # Half of 0.33 is 0.165: 0.17.
    assert found.each == Decimal("0.17")
    assert cost_numbers(found)["each"] == "0.17"
    told = say.texts(cost_messages(found))
    assert told[:2] == ["In all 0.33 sh., by your own prices.", "That is 0.17 sh. for each of the 2."]


def test_a_thousand_cents_are_ten(tmp_path):
    text = "[other]\n" + "".join(f'"{n}" = 0.01\n' for n in range(1000))
    assert str(costed([], prices(tmp_path, text)).total) == "10.00"


def test_what_has_no_price_is_told_and_not_counted(tmp_path):
    text = '[price]\n"thread" = "1 per m"\n"buckle 20 mm" = ""\n"lace 900 mm" = "7 each"\n[other]\ndye = "6.50"\n'
    bought = [item("thread", "thread", 3000.0), item("buckle", "buckle 20 mm", 2), item("snap", "snap 4 x 9 mm", 5, 1)]
    found = costed(bought, prices(tmp_path, text))
    assert [line.cost for line in found.lines] == [Decimal("3.00"), None, None]
    assert found.total == Decimal("9.50")
    assert found.unpriced == ("buckle 20 mm", "snap 4 x 9 mm")
    assert "Not in it, as no price is written for them: “buckle 20 mm” and “snap 4 x 9 mm”." in say.texts(
        cost_messages(found)
    )
    rows = shopping_rows(bought, found)
    assert [row.cost for row in rows] == ["3.00", None, None, "6.50"]
    assert cost_numbers(found)["lines"][1] == {"item": "buckle 20 mm", "price": None, "units": None, "cost": None}


def test_work_is_reckoned_where_hours_and_their_price_are_known(tmp_path):
    told = prices(tmp_path, 'hourly = "18.35"\n')
    found = costed([], told, hours=6.5)
    # 18.35 · 6.5 = 119.275
    assert (found.work, found.total) == (Decimal("119.28"), Decimal("119.28"))
    assert say.texts([shopping_rows([], found)[-1].what]) == ["Work, 6.5 hours"]
    assert costed([], told).work is None
    assert costed([], prices(tmp_path, ""), hours=6.5).total == 0
    assert "Your work is not in it: write an hourly price too." in say.texts(
        cost_messages(costed([], prices(tmp_path, ""), hours=6.5))
    )


def test_money_has_as_many_places_as_the_maker_says(tmp_path):
    told = prices(tmp_path, 'decimals = 0\n[price]\n"buckle 20 mm" = "150.5 each"\n')
    assert cost_numbers(costed([item("buckle", "buckle 20 mm", 3)], told))["total"] == "452"


@pytest.mark.parametrize(("count", "spare"), [(1, 1), (9, 1), (10, 1), (11, 2), (48, 5), (100, 10)])
def test_one_in_ten_of_what_is_set_with_a_tool_is_spare(count, spare):
    eyelets = _hardware(Hardware("eyelet", "", "", count, 5.2, 5.5, hole=5.0, inner=4.0, flange=8.0))
    assert (eyelets.key, eyelets.needed, eyelets.spare, eyelets.buy) == (
        "eyelet 5 x 5.5 mm",
        count,
        spare,
        count + spare,
    )
    assert _hardware(Hardware("buckle", "", "", count, width=20.0)).spare == 0
