"""The shopping list and its costs from a job to its report, against the drawing and a sum of one's own."""

import io
import json
from decimal import ROUND_HALF_UP, Decimal

import ezdxf
import ezdxf.path
import pytest
import shapely

from flatten.job.shop import read_prices
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from tests.analytic_jobs import design_of, found_on
from tests.limbs import cylinder

TABLE = {
    "scan": {"file": "made-up.ply", "side": "left"},
    "edges": {"bottom": "20 mm", "top": "300 mm", "lines": {"stitch": "4 mm"}},
    "seam": [{"name": "back"}, {"name": "front", "along": "front", "kind": "riveted"}],
    "plate": [{"name": "wave", "around": [60, 120], "heights": ["100 mm", "180 mm"], "thickness": "6 oz"}],
    "piece": {"pair": "mirrored"},
    "former": {"kind": "ribs"},
    "shop": {"hours": 6.5},
}


@pytest.fixture(scope="module")
def laid():
    job = job_of(TABLE, name="the test")
    found = found_on(cylinder(60.0))
    return job, found, lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=8.0)


def files_of(laid, prices=None):
    job, found, flat = laid
    return dict(finish(job, [(found, flat)], text="", prices=prices, announce=lambda step: None).files)


@pytest.fixture(scope="module")
def plain(laid):
    return files_of(laid)


def test_the_list_holds_what_the_drawing_and_the_report_do(plain):
    report = json.loads(plain["report.json"])
    bought = {one["item"]: one for one in report["shopping"]}
    space = ezdxf.read(io.StringIO(plain["pattern.dxf"].decode())).modelspace()
    outlines = [
        shapely.Polygon([(p.x, p.y) for p in ezdxf.path.make_path(line).flattening(0.001)])
        for line in space.query('LWPOLYLINE[layer=="CUT"]')
    ]
    leather = [one for one in report["shopping"] if one["sort"] == "leather"]
    assert [one["item"] for one in leather] == ["leather 3.2 mm", "leather 2.4 mm"]
    assert sum(one["needed"] for one in leather) == pytest.approx(sum(each.area for each in outlines), rel=1e-3)
    assert all(one["buy"] == pytest.approx(1.25 * one["needed"]) for one in leather)
    for sort in ("eyelet", "rivet"):
        counted = sum(one["count"] for one in report["hardware_total"] if one["name"] == sort)
        assert counted == sum(one["needed"] for one in report["shopping"] if one["sort"] == sort)
    # Two needles: four times as long as the lines of stitches along the edges, of both limbs.
    lines = [
        line["length"] for piece in report["pieces"] for line in piece["edge_lines"] if line["kind"] == "stitch line"
    ]
    assert bought["thread"]["needed"] == pytest.approx(4 * sum(lines), rel=1e-6)
    assert bought["thread"]["buy"] == 1000 * -(-bought["thread"]["needed"] // 1000)
    assert bought["board 6.0 mm"]["spare"] == 0
    assert report["costs"] is None


def test_prices_that_calfskin_lists_are_filled_in_and_add_up(calfskin, laid, plain, tmp_path):
    (tmp_path / "made").mkdir()
    (tmp_path / "made" / "report.json").write_bytes(plain["report.json"])
    file = tmp_path / "prices.toml"
    assert calfskin("prices", str(tmp_path / "made"), "--out", str(file)).code == 0
    empty = read_prices(file)
    shopping = json.loads(plain["report.json"])["shopping"]
    assert list(empty.price) == [one["item"] for one in shopping]
    assert set(empty.price.values()) == {None}
    again = calfskin("prices", str(tmp_path / "made"), "--out", str(file))
    assert (again.code, "already there" in again.err) == (1, True)

    money = {"count": "0.15 each", "area": "12.30 per sq ft", "length": "0.07 per m", "volume": "9 per litre"}
    for one in shopping:
        text = file.read_text("utf-8")
        file.write_text(text.replace(f'"{one["item"]}" = ""', f'"{one["item"]}" = "{money[one["measure"]]}"'), "utf-8")
    file.write_text(file.read_text("utf-8").replace('hourly = ""', 'hourly = "18.35"') + '"dye" = 6.50\n', "utf-8")
    report = json.loads(files_of(laid, read_prices(file))["report.json"])
    costs = report["costs"]
    assert (costs["without"], costs["pieces"], costs["work"]["cost"]) == ([], 2, "119.28")
    # The same by hand, with the amounts rounded up to hundredths of a foot or a metre.
    units = {"area": Decimal("92903.04"), "length": Decimal(1000), "count": Decimal(1)}
    total = Decimal("119.28") + Decimal("6.50")
    for one, line in zip(report["shopping"], costs["lines"], strict=True):
        amount = Decimal(line["units"])
        wanted = Decimal(one["buy"]) / units[one["measure"]]
        assert 0 <= amount - wanted < Decimal("0.01") + Decimal("1e-6")
        own = (amount * Decimal(line["price"].split()[0])).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
        assert line["cost"] == str(own)
        total += own
    assert costs["total"] == str(total)
    assert costs["each"] == str((total / 2).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def test_a_price_changes_nothing_that_is_cut(laid, plain, tmp_path):
    (tmp_path / "prices.toml").write_text('currency = "kr"\n[price]\n"leather 8 oz" = "12 per sq ft"\n', "utf-8")
    priced = files_of(laid, read_prices(tmp_path / "prices.toml"))
    assert [name for name in plain if plain[name] != priced[name]] == ["report.html", "report.json"]
    page = priced["report.html"].decode()
    assert "× 12 per sq ft" in page
    assert "no price is written for them: “leather 2.4 mm”" in page
