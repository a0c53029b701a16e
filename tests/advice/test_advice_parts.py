"""What advice is made of: lines of a job file, places for darts, and what a dart's sides do on the flat piece."""

import tomllib

import numpy as np
import pytest

from flatten.advice.advise import _order
from flatten.advice.changes import LEAST_TURNING, combined, ladders_of
from flatten.advice.hollows import hollows_of
from flatten.advice.lines import changed_lines
from flatten.advice.model import LEAST_GAIN, ONLY_JUST, Asked, Change, Gain
from flatten.advice.trial import least_opening, tried
from flatten.advice.wear import worse_to_wear
from flatten.advice.wearer import COARSE, CONFIRMED, Wearer
from flatten.job.pieces import dressed
from flatten.job.settings import EdgeHeights
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb
from flatten.making import lay
from flatten.measuring import Found
from flatten.scan.model import Scan
from flatten.words.say import texts
from flatten.worn.motion import Motion, Touch
from flatten.worn.putting_on import PuttingOn
from flatten.worn.wearing import Wearing
from tests.analytic_jobs import design_of
from tests.limbs import limb_of

CASED = PRESETS["cased"]


def job_with(**tables):
    return job_of({"scan": {"file": "shin.ply"}, **tables}, name="the test")


def found_of(radius):
    """A lower leg of radius(height, bearing) with its landmarks."""
    skin = limb_of(radius)
    marks = (Landmark("ankle", 0.0), Landmark("widest", 200.0), Landmark("knee", 330.0))
    limb = Limb(LOWER_LEG, "left", Frame(np.zeros(3), np.eye(3)), marks, "given")
    scan = Scan("shin.ply", np.zeros((1, 3)), np.zeros((1, 3)), np.zeros((0, 3), int), "mm", "given", 1.0, 0, ())
    return Found(scan, limb, skin, ())


def merged(job, lines):
    """The job with each key of `lines` in place of its own."""
    table = job.model_dump(mode="json")
    for name, value in tomllib.loads(lines).items():
        table[name] = value if isinstance(value, list) else {**table[name], **value}
    return job_of(table, name="the lines")


def asked(excess, *, fits=True, overlaps=0, area=1000.0):
    return Asked(excess, 0.08 + 2 * excess, 0.05, 0.03, excess, area, overlaps, fits)


def bulge(height, bearing):
    return 55.0 + 18.0 * np.exp(-(((height - 190.0) / 70.0) ** 2)) * (1.0 - 0.6 * np.cos(bearing))


@pytest.fixture(scope="module")
def bulging():
    found = found_of(bulge)
    job = job_with()
    return job, found, laid_at(job, found, 10.0)


def laid_at(job, found, edge_length, *, limits=CASED):
    """A job laid flat on meshes of some mm, as advice tries it."""
    design = design_of(job, found)
    return tried(design, dressed(design), limits=limits, edge_length=edge_length)


def test_lines_put_into_a_job_make_it_the_changed_job(bulging):
    job, _, laid = bulging
    for change in [change for ladder in ladders_of(job, laid) for change in ladder]:
        changed = change.apply(job)
        assert changed != job
        assert merged(job, changed_lines(job, changed)) == changed, change.messages


def test_lines_keep_what_a_job_says_of_the_other_seams():
    job = job_with(
        seam=[{"name": "laces", "along": 170, "gap": "30 mm", "pitch": "40 mm"}, {"name": "f", "along": 0.0}]
    )
    changed = job.model_copy(update={"seam": (job.seam[0].model_copy(update={"gap": 45.0}), job.seam[1])})
    assert merged(job, changed_lines(job, changed)) == changed


def test_the_lines_of_a_dart_say_what_it_is_even_where_that_is_the_default():
    job = job_with()
    lines = changed_lines(job, job_with(dart=[{}]))
    assert tomllib.loads(lines) == {
        "dart": [{"name": "dart", "kind": "dart", "edge": "top", "along": "front", "depth": "60 mm"}]
    }


def test_a_change_that_reaches_further_is_confirmed_on_a_surface_that_does(bulging):
    found, job = bulging[1], job_with(edges={"bottom": "40 mm", "top": "250 mm"})
    limb = Wearer(found, laid_at(job, found, 24.0))
    ground, further = limb.laid.ground, limb.resolved(job_with(edges={"bottom": "35 mm", "top": "250 mm"}))
    thinner = job.model_copy(update={"leather": job.leather.model_copy(update={"thickness": 2.0})})
    assert limb.tried(further, limits=CASED, edge_length=COARSE).ground is ground
    assert limb.tried(limb.laid.design, limits=CASED, edge_length=CONFIRMED).ground is ground
    assert limb.tried(limb.resolved(thinner), limits=CASED, edge_length=COARSE).ground is not ground
    # To a coarse mesh that matters only where the edge itself would lie beyond.
    beyond = limb.resolved(job_with(edges={"bottom": "40 mm", "top": "290 mm"}))
    assert limb.tried(beyond, limits=CASED, edge_length=COARSE).ground is not ground
    low, high = limb.tried(further, limits=CASED, edge_length=CONFIRMED).ground.surface.trusted
    assert low <= further.heights[0] < ground.surface.trusted[0]
    assert high >= further.heights[1]


def test_no_lines_where_nothing_differs():
    assert changed_lines(job_with(), job_with()) == ""


def test_an_edge_through_points_is_raised_at_each_of_them(bulging):
    found = bulging[1]
    job = job_with(edges={"bottom": {"points": [[350.0, "20 mm"], [10.0, "12 mm"], [180.0, "0 mm"]]}})
    raised = ladders_of(job, laid_at(job, found, 24.0))[0][0].apply(job)
    assert raised.edges.bottom == EdgeHeights(points=((10.0, 32.0), (180.0, 20.0), (350.0, 40.0)))


def test_changes_in_a_row_are_all_made(bulging):
    job, _, laid = bulging
    first = [ladder[0] for ladder in ladders_of(job, laid)]
    both = combined([first[0], first[2]])
    alone = [change.apply(job).edges for change in (first[0], first[2])]
    assert both.apply(job).edges.bottom == alone[0].bottom
    assert both.apply(job).edges.top == alone[1].top
    assert both.work == first[0].work + first[2].work


def test_only_equal_halves_may_be_given_up_for_the_limbs_own_shape(bulging):
    job, _, laid = bulging
    even = job_with(piece={"symmetry": "centre line"})

    def given(one):
        ladders = ladders_of(one, laid)
        return [change for ladder in ladders for change in ladder if change.family == "symmetry"]

    assert given(job) == []
    (change,) = given(even)
    assert changed_lines(even, change.apply(even)) == '[piece]\nsymmetry = "own shape"\n'


def test_a_change_that_lets_pieces_fit_is_worth_while_though_their_panels_need_no_less():
    """Halves made equal ask for more than `excess`, which is what the panels by themselves can do with."""
    assert Gain(asked(-0.02, fits=False), asked(-0.02)).worthwhile
    assert not Gain(asked(-0.02), asked(-0.02)).worthwhile
    assert not Gain(asked(-0.02, fits=False), asked(-0.02, fits=False)).worthwhile
    assert not Gain(asked(0.001, fits=False), asked(0.0)).worthwhile


def test_a_cylinder_has_no_hollow():
    found, job = found_of(lambda h, b: 55.0 + 0.0 * h), job_with()
    laid = laid_at(job, found, 8.0)
    assert max(abs(hollow.turning) for hollow in hollows_of(laid.flats[0])) < LEAST_TURNING


def cuts_beside(kind):
    """Depths of the darts and slashes that are thought of, and how far they lie from the leather's sides behind."""
    found, gap = found_of(bulge), 0.0 if kind == "stitched" else 25.0
    job = job_with(seam=[{"kind": kind, "gap": f"{gap or 25.0} mm"}])
    laid = laid_at(job, found, 12.0)
    surface, cuts = laid.ground.surface, laid.design.cuts
    heights = np.linspace(cuts.bottom.height(np.pi), cuts.top.height(np.pi), 200)
    half = 0.5 * gap / surface.radius(heights, np.pi)
    sides = np.concatenate([surface.points(heights, np.pi + sign * half) for sign in (-1, 1)])
    away = []
    for dart in [d for ladder in ladders_of(job, laid) for change in ladder for d in change.apply(job).dart]:
        quarters = {"front": 0.0, "outside": 90.0, "back": 180.0, "inside": 270.0}
        bearing = np.radians(quarters.get(dart.along, dart.along))
        edge = cuts.top if dart.edge == "top" else cuts.bottom
        mouth = surface.points(edge.height(np.array([bearing])), np.array([bearing]))
        away.append((dart.depth, float(np.linalg.norm(sides - mouth, axis=1).min())))
    return away


@pytest.mark.parametrize("kind", ["laced", "strapped"])
def test_no_cut_is_advised_where_a_lace_pulls_across_it(kind):
    """At 45° the pull passes beneath a cut that lies as far away as it is deep; it bulges most behind."""
    laced, stitched = cuts_beside(kind), cuts_beside("stitched")
    assert laced
    # Mesh edges of 12 mm cut the corners of a round edge by 0.3 mm.
    assert all(away >= depth - 0.3 for depth, away in laced)
    assert any(away < depth for depth, away in stitched)


def test_a_slit_in_a_saddle_overlaps_when_flat_and_one_on_a_bulge_opens():
    """Gauss and Bonnet: the flat sides turn apart by the curvature between them, and together where it is negative."""
    dart = [{"name": "d", "edge": "bottom", "along": 0.0, "depth": "60 mm"}]
    openings = []
    for sign in (-1.0, 1.0):

        def radius(height, bearing, sign=sign):
            return 60.0 + sign * 25.0 * np.cos((height - 60.0) * np.pi / 200.0) + 0.0 * bearing

        found, job = found_of(radius), job_with(dart=dart, edges={"top": "150 mm", "bottom": "0 mm"})
        laid = laid_at(job, found, 10.0)
        openings.append(least_opening(laid.flats[0], "d"))
    assert openings[0] < 0.0 < openings[1]
    assert least_opening(laid.flats[0], "no such dart") is None


def test_a_trial_is_what_the_job_makes(bulging):
    job, found, _ = bulging
    ours = laid_at(job, found, 8.0)
    theirs = lay(design_of(job, found), limits=CASED, announce=lambda step: None, edge_length=8.0)
    for flat, panel in zip(ours.flats, theirs.panels, strict=True):
        np.testing.assert_array_equal(flat.uv, panel.flat.uv)
    assert ours.asked.fits == theirs.fits


def test_what_brings_pieces_inside_goes_first_then_room_for_its_cost_and_before_all_what_costs_the_limits():
    before = asked(0.01, fits=False)

    def order(family, after, cost):
        return _order(Change(family, (), lambda job: job, cost), Gain(before, after), cost)

    clear, roomier = asked(-ONLY_JUST), asked(-0.05)
    assert order("gap", clear, 9.0) < order("seam", asked(0.004, fits=False), 1.0)
    assert order("gap", clear, 9.0) < order("seam", asked(-0.9 * ONLY_JUST), 1.0)
    # Four times the room, for three times the cost.
    assert order("seam", roomier, 12.0) < order("gap", clear, 4.0)
    assert order("gap", clear, 2.0) < order("seam", roomier, 12.0)
    assert order("symmetry", asked(-0.9 * ONLY_JUST), 9.0) < order("seam", roomier, 1.0)
    assert order("symmetry", asked(0.001, fits=False), 1.0) > order("seam", roomier, 12.0)


def test_only_what_brings_enough_is_worthwhile():
    before = asked(0.01, fits=False)
    assert Gain(before, asked(0.01 - LEAST_GAIN, fits=False)).worthwhile
    assert not Gain(before, asked(0.01 - 0.9 * LEAST_GAIN, fits=False)).worthwhile
    assert not Gain(before, asked(-0.03, fits=False, overlaps=2)).worthwhile
    assert Gain(asked(0.01, fits=False, overlaps=2), asked(0.01)).worthwhile


def knee(degrees):
    motion = Motion("bending the knee", "top", 350.0, np.pi, np.radians(135.0))
    return (Touch(motion, None if degrees is None else np.radians(degrees), np.pi, np.zeros(1), np.ones(1)),)


def worn_with(way="bends", catch=5.0, near=(), touches=()):
    return Wearing(None, PuttingOn(way, 0.0, 0.0, 0.0, None), catch, touches, near)


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ({}, {}, []),
        ({"way": "springs"}, {"way": "apart"}, []),
        ({"way": "springs"}, {"way": "too stiff"}, ["cannot be put on"]),
        ({"way": "too stiff"}, {"way": "springs"}, []),
        ({}, {"catch": -1.0}, ["holds it up"]),
        ({"catch": -1.0}, {"catch": 5.0}, []),
        ({}, {"near": ("fibula",)}, ["nerve"]),
        ({"near": ("fibula",)}, {"near": ("fibula",)}, []),
        (
            {"touches": knee(100.0)},
            {"touches": knee(80.0)},
            ["the knee ends at about 80°, where it now goes to 100°"],
        ),
        ({"touches": knee(None)}, {"touches": knee(120.0)}, ["ends at about 120°, where it now goes to 135°"]),
        ({"touches": knee(100.0)}, {"touches": knee(96.0)}, []),
        ({"touches": knee(80.0)}, {"touches": knee(None)}, []),
    ],
)
def test_what_becomes_worse_to_wear_is_told_and_nothing_else(before, after, told):
    found = texts(worse_to_wear(worn_with(**before), worn_with(**after)))
    assert len(found) == len(told)
    assert all(words in sentence for words, sentence in zip(told, found, strict=True))
