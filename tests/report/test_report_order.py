"""The order of work: which steps a job has and in which order, and figures that are those of the rest of the report."""

from dataclasses import replace

import numpy as np
import pytest
from report_case import with_limb

from flatten.findings import message
from flatten.former.model import Former, FormerPlan
from flatten.leather.limits import PRESETS
from flatten.limb.kind import LOWER_LEG
from flatten.pattern.model import Hole, Join, Mark, Path, Skive, Zone
from flatten.pattern.naming import EDGE_STITCH
from flatten.report.cautions import standing_cautions
from flatten.report.forming import _at, _gives
from flatten.report.model import MockupReport
from flatten.report.numbers import report_numbers
from flatten.report.order import STEPS, order_of_work, told_beside
from flatten.report.page import page_html
from flatten.report.tooling import tooling_findings
from flatten.units import square_feet
from flatten.words.say import text

LACED = Join("back", "laced", 9, 5.0, 31.5, (252.0, 252.0), 45.0, 6.4, 3.2, 10.0)
STRAPPED = Join("back", "strapped", 2, 3.0, 100.0, (100.0, 100.0), 45.0, 5.7, 3.2, 10.0, strap=20.0, buckle="before")
STITCHED = Join("side", "stitched", 40, 1.3, 5.1, (200.0, 201.0), 0.0, 6.4, 3.2, 3.5, skive=Skive(1.6, 12.0))
RIVETED = Join("other", "riveted", 7, 3.0, 30.0, (180.0, 180.0), 0.0, 6.4, 3.2, 0.0)
DART = Join("nip", "stitched", 8, 1.3, 5.1, (40.0, 40.0), 7.0, 6.4, 3.2, 3.5, what="dart")

BEFORE = (
    ("try on", "cut"),
    ("cut", "skive"),
    ("cut", "bevel"),
    ("cut", "groove"),
    ("groove", "punch"),
    ("groove", "tool"),
    ("bevel", "tool"),
    ("tool", "punch"),
    ("tool", "case"),
    ("skive", "case"),
    ("bevel", "case"),
    ("punch", "case"),
    ("punch", "close darts"),
    ("close darts", "case"),
    ("close darts", "form"),
    ("case", "form"),
    ("form", "tie"),
    ("tie", "dry"),
    ("form", "punch through"),
    ("dry", "punch through"),
    ("form", "harden"),
    ("dry", "harden"),
    ("harden", "dye"),
    ("punch through", "dye"),
    ("dry", "dye"),
    ("dye", "finish"),
    ("skive", "line"),
    ("dry", "line"),
    ("dye", "line"),
    ("punch through", "line"),
    ("line", "finish"),
    ("line", "set"),
    ("skive", "sew"),
    ("finish", "sew"),
    ("sew", "set"),
    ("finish", "set"),
    ("punch through", "set"),
    ("set", "close"),
    ("close", "fit"),
)
"""What has to be done before what: edges and holes on flat dry leather, layers and metal on formed leather."""

PLAIN = ["try on", "cut", "bevel", "punch", "case", "form", "tie", "dry", "dye", "finish", "set", "close", "fit"]


def joined(report, *joins):
    return with_limb(report, joins=joins)


def marked_through(report):
    (piece,) = report.limbs[0].pieces
    holes = (*piece.holes, Hole(0.0, 200.0, 3.0, "rivet", "plate", "", after=True))
    return with_limb(report, pieces=(replace(piece, holes=holes),))


def with_stop(report):
    (piece,) = report.limbs[0].pieces
    holes = (*piece.holes, Hole(0.0, 200.0, 4.0, "stop", "nip", ""))
    return with_limb(report, pieces=(replace(piece, holes=holes),))


def partly_tooled(report):
    """With a zone on it that is not to be carved or stamped, of 20 × 30 mm about a place of the calf."""
    (piece,), (panel,) = report.limbs[0].pieces, report.limbs[0].panels
    x, y = panel.flat.uv[panel.flat.panel.mesh.faces[1000]].mean(axis=0)
    rim = Path(np.array([[x, y], [x + 20, y], [x + 20, y + 30], [x, y + 30]]), np.zeros(4), closed=True)
    return with_limb(report, pieces=(replace(piece, untooled=(Zone((rim,), 600.0),)),))


def edged(report):
    """With a border line and a row of stitches, each as long as the outline."""
    (piece,) = report.limbs[0].pieces
    marks = (Mark("border line", piece.outline), Mark("stitch line", piece.outline))
    stitches = tuple(Hole(0.0, y, 1.3, "stitch", "edge", EDGE_STITCH) for y in (100.0, 105.0, 110.0))
    return with_limb(report, pieces=(replace(piece, marks=marks, holes=(*piece.holes, *stitches)),))


def lined(report):
    limb = report.limbs[0]
    (piece,), (panel,) = limb.pieces, limb.panels
    trim = Mark("trim", piece.outline)
    lining = replace(piece, name="lining", part="lining", thickness=1.0, holes=(), marks=(trim,))
    return with_limb(report, pieces=(piece, lining), panels=(panel, replace(panel, part="lining")))


def without(*steps, more=()):
    wanted = {*PLAIN, *more} - set(steps)
    return [step for step, _ in STEPS if step in wanted]


@pytest.fixture(scope="module")
def laced(calf):
    return joined(calf, LACED)


@pytest.fixture(scope="module")
def dry(laced):
    """The same leather held to what it takes dry."""
    (panel,) = laced.limbs[0].panels
    stretch = replace(panel.stretch, limits=PRESETS["dry"])
    return with_limb(laced, panels=(replace(panel, stretch=stretch),))


JOBS = {
    "laced": (lambda laced: laced, PLAIN),
    "open": (joined, without("set", "close")),
    "strapped": (lambda laced: joined(laced, STRAPPED), PLAIN),
    "stitched": (lambda laced: joined(laced, LACED, STITCHED), without(more=("skive", "groove", "sew"))),
    "riveted": (lambda laced: joined(laced, RIVETED), without("close")),
    "dart": (lambda laced: joined(with_stop(laced), LACED, DART), without(more=("groove", "close darts"))),
    "riveted dart": (
        lambda laced: joined(laced, LACED, replace(DART, kind="riveted", strip=30.0)),
        without(more=("close darts",)),
    ),
    "marked through": (marked_through, without(more=("punch through",))),
    "hardened": (lambda laced: replace(laced, hardened=True), without(more=("harden",))),
    "partly tooled": (partly_tooled, without(more=("tool",))),
    "edged": (edged, without(more=("groove", "sew"))),
    "lined": (lined, without(more=("line",))),
    "all": (
        lambda laced: lined(
            replace(joined(marked_through(partly_tooled(laced)), STITCHED, DART, RIVETED, STRAPPED), hardened=True)
        ),
        [step for step, _ in STEPS],
    ),
}


def steps_of(report):
    return [work.step for work in order_of_work(report)]


@pytest.mark.parametrize("name", JOBS)
def test_a_job_has_the_steps_that_it_has_work_for(name, laced):
    make, steps = JOBS[name]
    assert steps_of(make(laced)) == steps


def test_leather_that_is_formed_dry_is_not_cased_tied_or_dried(laced, dry):
    assert steps_of(dry) == without("case", "tie", "dry")
    assert "the leather dry" in said(dry, "form")
    assert "the cased leather" in said(laced, "form")


def test_leather_is_formed_over_the_jobs_own_former_where_it_has_one(laced):
    assert "over a former of the limb’s own shape, with 3 mm of padding and clothing on it." in said(laced, "form")
    plan = FormerPlan(True, False, 25.0, 0.0, 4.0, (200.0, 200.0, 200.0), 0.2, 12.0, 0.3, 25.0, 1, 0.0)
    own = Former(plan, "left", 0.0, 300.0, (0.0, 0.0), (), (), (), None)
    assert "over the job’s own former" in said(replace(laced, formers=(own,)), "form")


def test_every_step_comes_after_what_has_to_be_done_before(laced):
    assert {step for pair in BEFORE for step in pair} == {step for step, _ in STEPS}
    for make, _ in JOBS.values():
        steps = steps_of(make(laced))
        for first, then in BEFORE:
            if first in steps and then in steps:
                assert steps.index(first) < steps.index(then), (first, then)


def work_of(report, step):
    (work,) = (work for work in order_of_work(report) if work.step == step)
    return work


def said(report, step):
    return " ".join(text(each) for each in work_of(report, step).messages)


def figures(report, step, code):
    return [dict(each.filled) for each in work_of(report, step).messages if each.code == code]


def test_figures_are_those_of_the_rest_of_the_report(laced):
    report = joined(marked_through(with_stop(laced)), LACED, STITCHED, DART)
    numbers = report_numbers(report)
    (piece,) = numbers["pieces"]
    (cut,) = figures(report, "cut", "order.cut")
    assert (cut["count"], cut["thickness"], cut["cut"]) == (1, piece["thickness"], piece["cut_length"])
    (finish,) = figures(report, "finish", "order.finish")
    assert finish["edges"] == piece["cut_length"]
    holes = {"punch": [], "punch through": []}
    for hole in piece["holes"]:
        if hole["kind"] != "stop":
            told = message("report.holes", hole=hole["kind"], diameter=hole["diameter"], count=hole["count"])
            holes["punch through" if hole["after_forming"] else "punch"].append(told)
    (now,), (later,) = figures(report, "punch", "order.punch"), figures(report, "punch through", "order.punch through")
    assert (list(now["holes"]), list(later["holes"])) == (holes["punch"], holes["punch through"])
    assert figures(report, "punch", "order.not yet") == [{}]
    assert "Punch 1 stop hole of 4 mm first" in said(report, "cut")
    assert figures(report, "case", "order.weigh") == [{"mass": numbers["leather"]["mass"]}]
    (dried,) = figures(report, "dry", "order.dry")
    assert dried["mass"] == numbers["leather"]["mass"]
    assert f"{square_feet(numbers['leather']['area']):.2f} sq ft" in said(report, "dye")
    bend = numbers["panels"][0]["bend"]
    assert figures(report, "form", "order.bend")[0]["radius"] == bend["radius"]
    grooves = {
        each["seam"]: (each["count"], each["pitch"], each["before"], each["after"])
        for each in figures(report, "groove", "order.groove")
    }
    seams = {seam["name"]: seam for seam in numbers["seams"] if seam["kind"] == "stitched"}
    assert grooves == {
        name: (seam["pairs"], seam["pitch"], seam["length_before"], seam["length_after"])
        for name, seam in seams.items()
    }
    bought = {(one["name"], one["seam"]): one for one in numbers["hardware"]}
    (eyelets,) = figures(report, "set", "order.set")
    assert eyelets["count"] == bought["eyelet", "back"]["count"]
    (lace,) = figures(report, "close", "order.lace")
    assert lace["length"] == bought["lace", "back"]["sold"]


def test_lines_along_edges_are_grooved_before_stitches_are_punched_and_sewn(laced):
    report = edged(laced)
    cut = report_numbers(report)["pieces"][0]["cut_length"]
    assert figures(report, "groove", "order.edge line") == [
        {"grooved": "border line", "run": cut},
        {"grooved": "stitch line", "run": cut},
    ]
    assert "3 stitch holes of 1.3 mm" in said(report, "punch")
    assert figures(report, "sew", "order.sew edges") == [{"count": 3}]


def test_what_report_json_tells_is_what_the_page_says(laced):
    numbers = report_numbers(laced)
    page = page_html(laced)
    order = order_of_work(laced)
    assert [entry["step"] for entry in numbers["order"]] == [work.step for work in order]
    for entry, work in zip(numbers["order"], order, strict=True):
        assert [one["text"] for one in entry["work"]] == [text(each) for each in work.messages]
        assert [one["code"] for one in entry["work"]] == [each.code for each in work.messages]
        assert entry["cautions"] == [caution.code for caution in work.cautions]
        for one in entry["work"]:
            assert one["text"] in page.replace("&#39;", "'")
    grown = [
        one["figures"]["grows"] for entry in numbers["order"] for one in entry["work"] if one["code"] == "order.gives"
    ]
    assert grown == [give.grows for give in laced.limbs[0].gives[0]]


def test_forming_goes_through_what_grows_most_first_and_then_what_is_squeezed(laced):
    told = figures(laced, "form", "order.gives")
    assert [each["number"] for each in told] == list(range(1, len(told) + 1))
    stretches = [each["most"] for each in told]
    grows, squeezed = [s for s in stretches if s > 0.0], [s for s in stretches if s < 0.0]
    assert stretches == [*sorted(grows, reverse=True), *sorted(squeezed)]
    assert grows
    assert squeezed
    assert grows[0] == laced.limbs[0].panels[0].stretch.most.stretch - 1.0
    assert squeezed[0] == laced.limbs[0].panels[0].stretch.least.stretch - 1.0


def test_a_line_runs_up_the_limb_within_30_degrees_of_it_and_round_it_beyond_60(laced):
    (give, *_) = laced.limbs[0].gives[0]
    for degrees, way in ((0, "up"), (29, "up"), (31, "slanting"), (59, "slanting"), (61, "round"), (90, "round")):
        turned = replace(give, up=float(np.cos(np.radians(degrees))))
        assert dict(_gives(turned, 1, LOWER_LEG).filled)["way"] == way


def test_the_leather_is_tied_where_it_is_pulled_off_most_first(laced):
    (limb,) = laced.limbs
    (lifts,) = limb.lifts
    assert len(lifts) > 1
    halves = with_limb(laced, panels=limb.panels * 2, pieces=limb.pieces * 2)
    # Of two pieces all places are told together; those of the second one are pulled off half as much again.
    more = tuple(replace(lift, pull=1.5 * lift.pull, height=lift.height + 1.0) for lift in lifts)
    vars(halves.limbs[0])["lifts"] = (lifts, more)
    heights = [dict(each["where"].filled)["height"] for each in figures(halves, "tie", "order.tie")]
    assert heights == [lift.height for lift in sorted((*lifts, *more), key=lambda lift: lift.pull, reverse=True)]
    assert heights[0] == more[0].height


def test_rivets_that_hold_pieces_are_set_first_and_straps_last(laced):
    strapped = replace(STRAPPED, name="belt")
    told = figures(joined(laced, strapped, LACED, RIVETED), "set", "order.set")
    assert [one["seam"] for one in told] == ["other", "back", "belt", "belt"]
    assert [one["item"] for one in told] == ["rivet", "eyelet", "rivet", "rivet"]


@pytest.mark.parametrize(
    ("bearing", "said"),
    [
        (0.1, "at the front, 31 mm above the ankle"),
        (0.5, "at the front towards the outside, 31 mm above the ankle"),
        (-0.5, "at the front towards the inside, 31 mm above the ankle"),
        (1.0, "at the outside towards the front, 31 mm above the ankle"),
        (2.9, "at the back, 31 mm above the ankle"),
        (-2.5, "at the back towards the inside, 31 mm above the ankle"),
        (3.7, "at the back towards the inside, 31 mm above the ankle"),
    ],
)
def test_a_place_is_told_by_the_side_that_it_lies_towards(bearing, said):
    assert text(_at(31.0, bearing, LOWER_LEG)) == said


def test_paper_is_as_much_too_wide_as_ease_and_half_the_thickness_all_round(laced):
    (told,) = figures(laced, "try on", "order.try on")
    # [derived: pi · t over a full turn; t 3.2 -> 10.05 mm], and 8 mm of ease.
    assert told["narrower"] == pytest.approx(18.05, abs=0.01)
    assert "the gap comes out 18 mm narrower" in said(laced, "try on")
    assert "it laps over itself by 18 mm" in said(joined(laced, RIVETED), "try on")


def test_a_jobs_own_mock_up_is_tried_on_in_its_sheet(laced):
    felt = MockupReport("felt", 3.0, 0.02, laced.limbs[0].pieces, (), ((),))
    assert "Cut mockup.pdf from felt 3 mm thick" in said(with_limb(laced, mockup=felt), "try on")
    assert "mockup.pdf" not in said(laced, "try on")


def test_each_caution_is_met_once_and_where_it_belongs(laced, dry):
    page = page_html(laced)
    for report in (laced, dry, replace(laced, hardened=True)):
        order = order_of_work(report)
        kind = report.limbs[0].limb.kind
        met = {caution.code: work.step for work in order for caution in work.cautions}
        beside = [caution.code for caution in told_beside(standing_cautions(kind), order)]
        assert sorted([*met, *beside]) == sorted(one.code for one in standing_cautions(kind))
        for caution in standing_cautions(kind):
            assert page.count(text(caution)) == 1
        assert (met["caution.blades"], met["caution.solvents"]) == ("cut", "dye")
        assert (met["caution.leg nerve"], met["caution.numb"]) == ("fit", "fit")
        assert met["caution.heat"] == ("harden" if report.hardened else "form")
        assert {"caution.not protective", "caution.local rules"} <= set(beside)


def test_where_not_to_carve_is_told_once_where_it_is_carved(laced):
    report = partly_tooled(laced)
    (found,) = tooling_findings(report.limbs[0])
    assert work_of(report, "tool").cautions == (found,)
    assert page_html(report).count(text(found)) == 1
    assert found.code in [each["code"] for each in report_numbers(report)["findings"]]


def test_a_mirrored_pair_is_counted_twice_and_formed_alike(calf):
    (piece,) = calf.limbs[0].pieces
    pair = with_limb(calf, joins=(LACED,), mirrored=(replace(piece, side="right"),))
    one, two = joined(calf, LACED), pair
    for step, code, figure in (
        ("cut", "order.cut", "cut"),
        ("bevel", "order.bevel", "free"),
        ("case", "order.weigh", "mass"),
        ("dye", "order.dye", "area"),
        ("set", "order.set", "count"),
    ):
        assert figures(two, step, code)[0][figure] == pytest.approx(2 * figures(one, step, code)[0][figure])
    assert "mirror images" in said(two, "cut")
    assert "other side’s former" in said(two, "form")
    assert "other side’s former" not in said(one, "form")


def test_a_second_limbs_places_are_told_by_its_side(laced):
    (first,) = laced.limbs
    second = replace(first, limb=replace(first.limb, side="right"))
    both = replace(laced, limbs=(first, second))
    one, two = (figures(report, "form", "order.gives") for report in (laced, both))
    assert one == two
    again = [each for each in work_of(both, "form").messages if each.code == "on the limb"]
    assert len(again) == len(one) + 1
    assert all(text(each).startswith("On the right: ") for each in again)


def test_a_lining_is_cut_and_glued_and_neither_formed_nor_dyed(laced):
    lining = lined(laced)
    assert "Cut 1 piece from leather 3.2 mm thick" in said(lining, "cut")
    assert "Cut the lining, 1 piece of 1.0 mm" in said(lining, "cut")
    assert "trim it back to the leather’s edge" in said(lining, "line")
    for step in ("bevel", "case", "form", "tie", "dry", "dye", "finish"):
        own, bare = work_of(lining, step).messages, work_of(laced, step).messages
        assert [dict(each.filled) | {"piece": None} for each in own] == [
            dict(each.filled) | {"piece": None} for each in bare
        ]


def test_thick_leather_lies_longer_in_water_and_dries_longer(laced):
    (piece,) = laced.limbs[0].pieces
    thick = with_limb(laced, pieces=(replace(piece, thickness=6.4),))
    for step, code in (("case", "order.soak"), ("dry", "order.dry")):
        (usual,), (more,) = figures(laced, step, code), figures(thick, step, code)
        assert np.allclose([more["least"], more["most"]], 2 * np.array([usual["least"], usual["most"]]))
        assert usual["least"] < usual["most"]


def test_edges_that_are_sewn_or_riveted_are_not_bevelled(laced):
    (whole,) = figures(laced, "bevel", "order.bevel")
    panel = laced.limbs[0].panels[0]
    sewn = replace(
        panel.flat.panel,
        boundaries=tuple(replace(b, kind="stitched") if b.kind == "laced" else b for b in panel.flat.panel.boundaries),
    )
    (less,) = figures(
        with_limb(laced, panels=(replace(panel, flat=replace(panel.flat, panel=sewn)),)), "bevel", "order.bevel"
    )
    sides = [b.vertices for b in panel.flat.panel.boundaries if b.kind == "laced"]
    ends = [panel.flat.uv[side] for side in sides]
    chords = sum(((end[-1] - end[0]) ** 2).sum() ** 0.5 for end in ends)
    assert whole["free"] - less["free"] == pytest.approx(chords, rel=0.01)
