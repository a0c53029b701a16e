"""What a job comes to on a limb: seams, edges, lips and darts."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.job.errors import JobError
from flatten.job.resolve import edges_of, resolve
from flatten.job.text import job_from, job_text
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb
from flatten.pattern.model import PatternError
from flatten.worn.panel import CutError
from tests.limbs import cylinder

LEG = Limb(
    LOWER_LEG,
    "left",
    Frame(np.zeros(3), np.eye(3)),
    (Landmark("ankle", 0.0), Landmark("widest", 240.0), Landmark("knee", 350.0)),
    "given",
)


SKIN = cylinder(55.0, low=-30.0, high=420.0)


def job(text):
    return job_from(f'[scan]\nfile = "scan.ply"\n{text}', name="test.toml")


def design(text, limb=LEG):
    return resolve(job(text), limb, skin=SKIN)


def edges(text):
    bottom, top = design(text).cuts.edges
    quarters = np.arange(4) * np.pi / 2
    return bottom.height(quarters), top.height(quarters)


@pytest.mark.parametrize(
    ("text", "top"),
    [
        ("", (325, 295, 265, 295)),
        ('top = "310 mm"', (310, 310, 310, 310)),
        ('top = { front = "330 mm" }', (330, 295, 265, 295)),
        ('top = { shape = "straight", height = "300 mm" }', (300, 300, 300, 300)),
        ('top = { shape = "swept", by = "40 mm" }', (325, 305, 285, 305)),
        ('top = { shape = "swept", height = "330 mm", inside = "290 mm" }', (330, 300, 270, 290)),
        ('top = { points = [[0, "330 mm"], [90, "310 mm"], [180, "280 mm"], [270, "300 mm"]] }', (330, 310, 280, 300)),
    ],
)
def test_an_edge_is_told_by_heights_a_shape_or_points(text, top):
    np.testing.assert_allclose(edges(f"[edges]\n{text}")[1], top, atol=1e-9)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('top = { shape = "wavy" }', "shape is 'wavy'"),
        ('top = { height = "300 mm" }', "belong to a shape"),
        ('top = { shape = "straight", by = "20 mm" }', "has no 'by'"),
        ('top = { front = "300 mm", points = [[0, "300 mm"], [180, "290 mm"]] }', "leave one of them out"),
        ('top = { points = [[0, "300 mm"]] }', "two or more"),
        ('top = { points = [[0, "300 mm"], [360, "290 mm"]] }', "at one bearing"),
        ("top = { points = 3 }", "no list of points"),
    ],
)
def test_an_edge_that_says_two_things_or_none_is_refused(text, words):
    with pytest.raises(JobError, match=words):
        job(f"[edges]\n{text}")


@pytest.mark.parametrize(
    "text", ["", 'top = { front = "180 mm" }', 'top = { shape = "swept", by = "40 mm" }', 'bottom = "20 mm"']
)
def test_the_usual_top_of_a_shin_guard_needs_the_knee_in_the_scan(text):
    short = replace(LEG, landmarks=LEG.landmarks[:2])
    with pytest.raises(CutError, match=r"does not show the knee.*give its height.*under \[edges\]"):
        design(f"[edges]\n{text}", limb=short)


@pytest.mark.parametrize(
    "text",
    [
        'top = "180 mm"',
        'top = { shape = "straight", height = "180 mm" }',
        'top = { points = [[0, "180 mm"], [180, "180 mm"]] }',
    ],
)
def test_edges_of_ones_own_need_no_knee(text):
    short = replace(LEG, landmarks=LEG.landmarks[:2])
    bottom, top = design(f"[edges]\n{text}", limb=short).cuts.edges
    np.testing.assert_allclose(top.height(np.linspace(0, 6, 7)), 180.0)
    assert bottom.height(0.0) == 20.0


def test_flares_become_lips_of_their_edges():
    found = design('[edges.flare]\nbottom = "6 mm"\ndepth = "20 mm"')
    (lip,) = found.cuts.lips
    assert (lip.edge, lip.flare, lip.depth, lip.inward) == (found.cuts.bottom, 6.0, 20.0, 1.0)


@pytest.mark.parametrize(
    ("text", "offsets", "upper"),
    [
        ('kind = "laced"', (-12.5, 12.5), ""),
        ('kind = "open"\ngap = 0', (0.0, 0.0), ""),
        ('kind = "strapped"\ngap = "30 mm"', (-15.0, 15.0), ""),
        ('kind = "stitched"', (0.0, 0.0), ""),
        ('kind = "riveted"', (11.0, -11.0), "before"),
        ('kind = "riveted"\non_top = "inside"', (11.0, -11.0), "after"),
        ('kind = "stitched"\noverlap = "12 mm"\nalong = "outside"', (6.0, -6.0), "before"),
        ('kind = "riveted"\nalong = "inside"', (11.0, -11.0), "after"),
        ('kind = "riveted"\nalong = "inside"\non_top = "back"', (11.0, -11.0), "before"),
    ],
)
def test_a_seams_kind_gives_its_widths_and_its_upper_leather(text, offsets, upper):
    """The front's leather lies on the back's; at the back (180°) the outside's (90°, before it) on the inside's."""
    (seam,) = design(f"[[seam]]\n{text}").cuts.seams
    assert seam.offsets == pytest.approx(offsets)
    assert seam.upper == upper


def test_a_quarter_that_is_not_beside_the_seam_cannot_lie_on_top():
    with pytest.raises(CutError, match="name the quarter beside the seam"):
        design('[[seam]]\nkind = "riveted"\non_top = "front"')


def test_edges_are_known_where_a_seam_cannot_be():
    """So that a seam can be drawn anew past them."""
    asked = job('[edges]\ntop = "300 mm"\n[[seam]]\nkind = "riveted"\non_top = "front"')
    bottom, top = edges_of(asked, LEG, trusted=SKIN.trusted)
    assert (bottom.height(0.0), top.height(0.0)) == (20.0, 300.0)


def test_holes_that_cannot_be_are_told_where_they_are_first_wanted():
    found = design('[[seam]]\npitch = "78 mm"')
    assert found.cuts.seams[0].gap == 25.0
    with pytest.raises(PatternError, match="a lacing pitch of 78 mm"):
        _ = found.fastenings


def test_the_title_is_the_scans_name_and_the_piece_has_none_of_its_own_unless_the_job_says_more():
    assert (design("").title, design("").piece) == ("scan", None)
    named = design('[output]\ntitle = "the watch"\n[piece]\nname = "greave"')
    assert (named.title, named.piece) == ("the watch", "greave")


def test_a_pairs_other_scan_is_of_the_kind_and_side_that_are_asked_for():
    pair = job('limb = "forearm"\nside = "right"\n[other_scan]\nfile = "b.ply"\nunit = "cm"\n[piece]\npair = "mean"')
    second = pair.other_settings(limb=pair.scan.limb, side="left")
    assert (second.file, second.unit, second.limb, second.side) == ("b.ply", "cm", "forearm", "left")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('kind = "laced"\noverlap = "10 mm"', "does not overlap"),
        ('kind = "riveted"\noverlap = 0', "must overlap"),
        ('kind = "laced"\ngap = 0', "needs a gap"),
        ('kind = "glued"', "'laced', 'strapped', 'open', 'snapped', 'stitched' or 'riveted'"),
    ],
)
def test_widths_against_a_seams_kind_are_refused(text, words):
    with pytest.raises(JobError, match=words):
        job(f"[[seam]]\n{text}")


def test_darts_are_read_and_share_no_name_with_a_seam():
    text = '[[dart]]\nname = "instep"\nkind = "slash"\nedge = "bottom"\nopening = "9 mm"\ndepth = "50 mm"'
    (dart,) = design(text).cuts.darts
    assert (dart.kind, dart.edge, dart.bearing, dart.depth, dart.opening) == ("slash", "bottom", 0.0, 50.0, 9.0)
    with pytest.raises(JobError, match="two seams or darts are called 'back'"):
        job('[[dart]]\nname = "back"')
    with pytest.raises(JobError, match="make it a slash"):
        job('[[dart]]\nopening = "9 mm"')


def test_every_new_key_is_written_and_read_again():
    asked = job(
        '[edges]\ntop = { points = [[0, "330 mm"], [200, "300 mm"]] }\nbottom = { shape = "arched", by = "15 mm" }\n'
        '[edges.flare]\ntop = "4 mm"\n[[seam]]\nkind = "riveted"\non_top = "outside"\n[[dart]]\nalong = 12.5\n'
    )
    assert job_from(job_text(asked), name="again") == asked


def test_the_surface_reaches_past_an_upper_layers_step():
    """22 mm of overlap and a step of five times 3.2 mm lie beside the seam, 10 mm more beyond the edges."""
    found = design('[[seam]]\nkind = "riveted"\ngap = "25 mm"')
    low, high = found.heights
    assert high == pytest.approx(325.0 + 11.0 + 16.0 + 10.0)
    assert found.span[1] == pytest.approx(325.0)
    assert low == pytest.approx(found.cuts.bottom.heights.min() - (25.0 + 22.0 + 2 * 16.0 + 2 * 10.0 - 25.0) / 2)
