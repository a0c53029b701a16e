"""A job's motifs on its pieces: where they lie, mirrored for a pair, true when worn, left out with a word."""

import json

import numpy as np
import pytest
import shapely

from flatten.job.errors import JobError
from flatten.job.ornamented import drawings_of, ornamented, without
from flatten.job.pieces import pieces_of
from flatten.ornament.model import Field, Region
from flatten.ornament.sheets import BEVELLED, CARVED
from flatten.pattern.light import LIGHT, lightened
from flatten.pattern.path import polyline
from tests.limbs import cylinder
from tests.plated import finished, laid_on

RADIUS = 60.0
PLATE = {"name": "wave", "around": [-60.0, 60.0], "heights": ["80 mm", "200 mm"]}
RINGS = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="-30 -30 60 60">
<g fill="none" stroke="black"><circle r="20"/><circle cx="8" r="20"/></g></svg>"""
"""Two rings that cross twice."""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "rings.svg").write_text(RINGS)
    return tmp_path


def adorned(folder, *motifs, plates=(), **tables):
    job, found, laid = laid_on(cylinder(RADIUS), *plates, mesh=8.0, motif=list(motifs), **tables)
    return job, found, laid, ornamented(job, laid, pieces_of(laid), drawings_of(job, folder=folder))


RING = {"kind": "drawing", "file": "rings.svg", "width": "3 mm"}


def lines(piece, kind=CARVED):
    return [polyline(mark.path, 0.05) for mark in piece.marks if mark.kind == kind]


def test_every_piece_but_a_lining_has_its_field(folder):
    _, _, laid, done = adorned(folder, plates=[PLATE], lining={"thickness": "1 mm"})
    parts = [laid.all_panels[each.panel].part for each in done.ornaments]
    assert parts == ["base", "plate"]
    assert done.findings == ()
    base, plate = (each.field.region.shape for each in done.ornaments)
    # What the plate covers is no field of the base: a third of the way round, 120 mm high.
    covered = RADIUS * 2.0 * np.pi / 3.0 * 120.0
    alone = adorned(folder)[3].ornaments[0].field.region.area
    assert alone - base.area == pytest.approx(covered, rel=0.25)
    assert plate.area < covered


def test_a_motif_lies_in_the_field_of_its_piece(folder):
    _, _, _, done = adorned(folder, RING | {"by": ["0 mm", "85 mm"]}, RING | {"on": "wave"}, plates=[PLATE])
    for each in done.ornaments:
        piece = done.drawn.pieces[each.panel]
        near = each.field.region.shape.buffer(0.05)
        carved = lines(piece)
        assert len(carved) >= 4
        assert all(near.covers(shapely.LineString(line)) for line in carved)
        assert lines(piece, BEVELLED)
        assert (each.motifs[0].tooling.closed, each.motifs[0].tooling.crossings) == (2, 2)


def test_lines_are_made_light_once_for_all_that_is_drawn(folder):
    """The pieces have the ornament's own lines, so near as is promised, and no file merges them again."""
    _, _, _, done = adorned(folder, RING, piece={"pair": "mirrored"})
    (ornament,) = done.ornaments
    worked = {mark.kind: [] for mark in ornament.marks}
    for mark in ornament.marks:
        worked[mark.kind].append(mark.path)
    for pieces, way in ((done.drawn.pieces, 1.0), (done.drawn.mirrored, -1.0)):
        drawn = [mark for mark in pieces[0].marks if mark.kind in worked]
        assert len(drawn) == len(ornament.marks)
        for kind, paths in worked.items():
            for path, mark in zip(paths, (each for each in drawn if each.kind == kind), strict=True):
                assert lightened(mark.path) is mark.path
                light, fine = (shapely.LineString(polyline(each, 1e-4)) for each in (mark.path, path))
                turned = shapely.transform(fine, lambda points, way=way: points * (way, 1.0))
                assert shapely.hausdorff_distance(light, turned) <= LIGHT + 2e-4
        points = [sum(len(mark.path.points) for mark in marks) for marks in (drawn, ornament.marks)]
        assert points[0] < 0.5 * points[1]


def test_what_is_true_when_worn_is_drawn_narrower_and_as_high(folder):
    """Leather 3.2 mm thick, its neutral line in the middle: the outside is (R + t) / (R + t/2) as long round the limb,
    with R the flesh side's radius; along the limb nothing changes."""
    extents = []
    for worn in (True, False):
        _, _, _, done = adorned(folder, RING, ornament={"worn": worn})
        points = np.concatenate(lines(done.drawn.pieces[0]))
        extents.append(np.ptp(points, axis=0))
    (wide, high), (flat_wide, flat_high) = extents
    assert flat_wide == pytest.approx(51.0, abs=0.05)
    assert wide / flat_wide == pytest.approx((RADIUS + 1.6) / (RADIUS + 3.2), abs=5e-4)
    assert high / flat_high == pytest.approx(1.0, abs=5e-4)


@pytest.mark.parametrize(
    ("along", "axis", "way"), [("top", 1, 1.0), ("foot", 1, -1.0), ("left", 0, -1.0), ("right", 0, 1.0)]
)
def test_a_border_along_one_side_keeps_to_it(folder, along, axis, way):
    """Of 4 strands in bands 3 mm wide, 1 mm apart: a plait some 25 mm wide at that side's rim."""
    motif = {"kind": "border", "along": along, "strands": 4, "width": "3 mm", "apart": "1 mm"}
    _, _, _, done = adorned(folder, motif)
    assert done.findings == ()
    (made,) = done.ornaments[0].motifs
    assert made.tooling.crossings > 20
    across = way * np.concatenate(lines(done.drawn.pieces[0]))[:, axis]
    rim = (way * np.concatenate(done.ornaments[0].field.region.rims)[:, axis]).max()
    assert 0.0 <= rim - across.max() + 0.05 < 2.0
    assert 12.0 < np.ptp(across) < 30.0


def test_the_opposite_piece_has_the_mirror_image(folder):
    _, _, _, done = adorned(folder, RING | {"by": ["15 mm", "0 mm"]}, piece={"pair": "mirrored"})
    own, other = done.drawn.pieces[0], done.drawn.mirrored[0]
    assert len(lines(own)) == len(lines(other)) > 0
    for one, mate in zip(lines(own), lines(other), strict=True):
        np.testing.assert_allclose(mate, one * [-1.0, 1.0], atol=1e-9)
    middle = shapely.MultiPoint(np.concatenate(lines(own))).centroid.x
    assert abs(middle) > 5.0


def test_a_later_motif_keeps_off_an_earlier_one(folder):
    _, _, _, done = adorned(folder, RING, RING | {"by": ["4 mm", "0 mm"]})
    first, (told, second) = done.ornaments[0].motifs[0], done.findings
    assert len(done.ornaments[0].motifs) == 1
    assert first.tooling.crossings == 2
    assert (told.code, second.code) == ("ornament.told", "ornament.left out")


def test_slivers_beside_a_motif_are_left_plain():
    """Of a field 100 mm square a motif leaves, past the 3 mm about it, strips 2 and 4 mm wide: only one is ground."""
    whole = Field("front", Region.of(shapely.box(0, 0, 100, 100)), None, False)
    left = without(whole, Region.of(shapely.box(5, -9, 93, 109)))
    assert left.region.area == pytest.approx(400.0)
    assert shapely.bounds(left.region.shape).tolist() == [96.0, 0.0, 100.0, 100.0]
    assert without(whole, Region.of(shapely.box(2, 2, 98, 98))).region.area == 0.0
    assert without(whole, Region(())) is whole


def test_a_motif_that_cannot_be_is_left_out_and_the_piece_is_as_without(folder):
    wide = RING | {"width": "30 mm"}
    _, _, _, done = adorned(folder, wide)
    (found,) = done.findings
    assert (found.code, found.severity) == ("ornament.troubled", "look")
    assert found.figures["told"]
    bare = adorned(folder)[3].drawn.pieces[0]
    assert [mark.kind for mark in done.drawn.pieces[0].marks] == [mark.kind for mark in bare.marks]


def test_a_motif_on_a_piece_that_there_is_not_names_those_that_there_are(folder):
    with pytest.raises(JobError, match=r"\[\[motif\]\] 1 is to be on 'wing', .* write 'base' or one of .*'wave'"):
        adorned(folder, RING | {"on": "wing"}, plates=[PLATE])


def test_files_of_an_ornamented_job_have_its_lines_and_sheets(folder):
    job, found, laid, _ = adorned(folder, RING, ornament={"sheet": True})
    plain = dict(finished(replace_motif(job), found, laid).files)
    assert "tooling.pdf" not in plain
    made = dict(adorned_files(job, found, laid, folder))
    assert {"tooling.pdf", "field.pdf", "field.svg"} <= made.keys()
    assert b"CARVE" in made["pattern.dxf"]
    numbers = json.loads(made["report.json"])["ornament"]
    assert numbers[0]["motifs"][0]["crossings"] == 2
    assert "Room for ornament" in made["report.html"].decode()


def replace_motif(job):
    return job.model_copy(update={"motif": ()})


def adorned_files(job, found, laid, folder):
    from flatten.making import finish

    made = finish(job, [(found, laid)], text="", drawings=drawings_of(job, folder=folder), announce=lambda step: None)
    return made.files


def test_where_nobody_says_how_many_strands_there_are_as_many_as_fit(folder):
    """On a narrow plate fewer than is usual; who asks for a number is told what would fit."""
    narrow = {"name": "wave", "around": [-40.0, 40.0], "heights": ["80 mm", "180 mm"]}
    filling = {"kind": "filling", "on": "wave", "width": "4 mm"}
    _, _, _, done = adorned(folder, filling, plates=[narrow])
    assert len(done.ornaments[1].motifs) == 1
    _, _, _, asked = adorned(folder, filling | {"strands": 16}, plates=[narrow])
    assert asked.ornaments[1].motifs == ()
    (told,) = asked.findings
    assert 4 <= told.figures["strands"] < 16
