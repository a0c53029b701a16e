"""Seams that snap shut: an overlap that opens, with snaps through both layers."""

import numpy as np
import pytest
import shapely

from flatten.job.errors import JobError
from flatten.job.fastenings import fastenings_of
from flatten.job.text import job_from, job_text
from flatten.limb.kind import LOWER_LEG
from flatten.pattern.fastening import Riveting, Snapping, edge_distance
from flatten.pattern.hardware import hardware_of
from flatten.pattern.holes import rows_inside
from flatten.pattern.model import PatternError
from flatten.pattern.outline import shape_of
from flatten.worn.curves import Seam
from flatten.worn.neutral import Wear
from flatten.worn.panel import SeamCutError
from flatten.worn.putting_on import putting_on
from flatten.worn.wearing import fit_range
from tests.limbs import cylinder
from tests.pattern.test_seam_holes import LEVEL, laid, made, mates, seam

SNAPPED = {"kind": "snapped", "overlap": 22.0, "upper": "before"}


@pytest.fixture(scope="module")
def tube():
    return laid(cylinder(60.0), [seam(**SNAPPED)], edges=LEVEL)


def test_snaps_go_through_both_layers_of_the_overlap_where_rivets_would(tube):
    snapped = made(tube, back=Snapping(4.0, 40.0))
    low, high = mates(snapped, "back", "snap").values()
    # 250 mm less 8 mm (two holes of 4 mm) at each end, in steps near 40 mm: 6 of 39 mm.
    assert len(low) == len(high) == 7
    np.testing.assert_allclose(np.diff(low[:, 1]), 234.0 / 6, atol=0.1)
    # The upper layer lies a thickness further out, which forming stretches by less than a hundredth.
    np.testing.assert_allclose(low[:, 1], high[:, 1], atol=0.1)
    # Half of the overlap of 22 mm from either edge; the upper leather lies 3.2 mm further out on a tube of 60 mm.
    x0, _, x1, _ = shape_of(snapped.pieces[0].outline).bounds
    np.testing.assert_allclose(low[:, 0] - x0, 11.0, atol=0.02)
    np.testing.assert_allclose(x1 - high[:, 0], 11.0 * 63.2 / 60.0, atol=0.02)
    # Rivets in holes as large, as far apart, stand in the same places.
    flats = laid(cylinder(60.0), [seam(**{**SNAPPED, "kind": "riveted"})], edges=LEVEL)
    riveted = mates(made(flats, back=Riveting(4.0, 40.0)), "back", "rivet")
    np.testing.assert_allclose(np.vstack([low, high]), np.vstack([*riveted.values()]), atol=1e-6)


def test_a_snap_is_bought_for_each_place_with_posts_for_one_layer(tube):
    (join,) = made(tube).joins
    (snaps,) = hardware_of([join])
    # 234 mm in steps near 50: 5, six snaps. Each half goes through its own 3.2 mm, and 3 mm of post: common practice.
    assert (join.kind, snaps.name, snaps.count) == ("snapped", "snap", 6)
    assert (snaps.length, snaps.sold, snaps.flange) == (pytest.approx(6.2), 7.0, 12.5)


def test_sides_that_snap_are_made_equally_long_along_their_snaps():
    # Half a cap of 12.5 mm and 1.5 mm beside it are less than two holes of 4 mm.
    assert rows_inside({"back": Snapping()}, 3.2) == {"back": 8.0} == {"back": edge_distance("snap", 4.0, 3.2)}
    assert edge_distance("snap", 5.0, 3.2) == 10.0


def test_a_snapped_seam_opens_but_draws_nothing_together():
    surface, (bottom, top) = cylinder(60.0, low=-30.0, high=300.0), (LEVEL["bottom"], LEVEL["top"])
    back = seam(**SNAPPED)
    wear = Wear((3.0,) * 4, 8.0, 3.2, 0.5)
    soft = putting_on(surface, bottom=bottom, top=top, seams=[back], wear=wear, hardened=False)
    assert soft.way == "bends"
    riveted = Seam("back", "riveted", 0.0, [0.0], [np.pi], 22.0, "before")
    closed = putting_on(surface, bottom=bottom, top=top, seams=[riveted], wear=wear, hardened=False)
    assert closed.way == "closed"
    assert fit_range(390.0, seams=[back], kind=LOWER_LEG, neutral=0.5) is None


def test_hardened_an_overlap_takes_its_own_width_off_the_opening():
    surface, (bottom, top) = cylinder(60.0, low=-30.0, high=300.0), (LEVEL["bottom"], LEVEL["top"])
    wear = Wear((3.0,) * 4, 8.0, 3.2, 0.5)

    def opens(one):
        return putting_on(surface, bottom=bottom, top=top, seams=[one], wear=wear, hardened=True)

    slit, snapped = opens(Seam("back", "open", 0.0, [0.0], [np.pi])), opens(seam(**SNAPPED))
    assert snapped.opens == pytest.approx(slit.opens - 22.0)
    # No lacing gap helps a seam that has none.
    assert (snapped.way, snapped.gap) == ("too stiff", None)


def test_a_job_asks_for_snaps_and_is_written_again():
    text = '[scan]\nfile = "s.ply"\n[[seam]]\nkind = "snapped"\n'
    job = job_from(text, name="j.toml")
    assert job_from(job_text(job), name="again") == job
    assert fastenings_of(job.seam) == {"back": Snapping(4.0, 50.0)}
    wished = job_from(f'{text}snap = "5 mm"\npitch = "60 mm"', name="j.toml")
    assert fastenings_of(wished.seam) == {"back": Snapping(5.0, 60.0)}
    with pytest.raises(JobError, match="a snapped seam must overlap"):
        job_from(f'{text}overlap = "0 mm"', name="j.toml")
    with pytest.raises(JobError, match="a snapped seam is not skived"):
        job_from(f'{text}skive = "auto"', name="j.toml")
    with pytest.raises(PatternError, match="a snap pitch of 25 mm is outside 30 to 80 mm"):
        fastenings_of(job_from(f'{text}pitch = "25 mm"', name="j.toml").seam)


def test_a_snapped_seam_without_overlap_or_with_a_gap_is_refused():
    with pytest.raises(SeamCutError, match="overlap of 0 mm"):
        seam(kind="snapped")
    with pytest.raises(SeamCutError, match="has no gap"):
        seam(kind="snapped", gap=20.0)


def test_caps_of_snaps_do_not_reach_the_upper_edge(tube):
    pattern = made(tube, back=Snapping(5.0, 40.0))
    shape = shape_of(pattern.pieces[0].outline)
    caps = [shapely.Point(hole.x, hole.y).buffer(7.5) for hole in pattern.pieces[0].holes]
    assert all(shape.buffer(-1.0).contains(cap) for cap in caps)
    assert Riveting().diameter < Snapping().diameter
