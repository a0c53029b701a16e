"""Ribs and spines, read back from their drawing and put together as a maker does: they give the sections again."""

import io
import re
from dataclasses import dataclass

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely
from manifold3d import CrossSection, FillRule, Manifold

from flatten.drawing.compose import drawing_of
from flatten.drawing.dxf import dxf_bytes
from flatten.former.face import section
from flatten.former.model import FormerError
from flatten.former.ribs import rib_heights
from flatten.former.sheets import ribs_of
from flatten.pattern.lettering import text_box
from flatten.pattern.path import polyline
from flatten.sheet.layout import in_rows
from flatten.words.english import ENGLISH
from tests.former.former_case import SHIN, dressed_on, plan
from tests.limbs import cylinder

BOARD, PLAY = 6.0, 0.2


def ribs_on(skin, *, opening=np.pi, mirrored=False, side="left", **changes):
    face, _, _, _ = dressed_on(skin)
    own = plan(**{"board": BOARD, "play": PLAY, **changes})
    return ribs_of(face, own, opening=opening, side=side, front="front", mirrored=mirrored, language=ENGLISH)


@dataclass
class Board:
    """A board as it is in the file: its name, its outline, and what is written on it."""

    name: str
    outline: shapely.Polygon
    texts: list[str]

    @property
    def height(self):
        (found,) = (re.fullmatch(r"height (−?[\d.]+) mm", text) for text in self.texts if text.startswith("height"))
        return float(found[1].replace("−", "-"))

    def ends(self, way):
        """The middles (n,2) of the slots' closed ends, of slots along `way`, from below and from the left."""
        corners = np.array(self.outline.exterior.coords)
        spans = np.diff(corners, axis=0)
        across = np.abs(spans @ np.array([-way[1], way[0]]))
        level = (np.abs(spans @ way) < 1e-6) & (np.abs(across - BOARD - PLAY) < 1e-6)
        middles = 0.5 * (corners[:-1] + corners[1:])[level]
        return middles[np.lexsort((middles[:, 0], middles[:, 1]))]


def boards_in(ribs):
    """The boards of a drawing, by name, as another program reads it."""
    pieces = (*ribs.ribs, *ribs.spines)
    text = dxf_bytes(drawing_of(in_rows(pieces, 600.0), "a test")).decode()
    space = ezdxf.read(io.StringIO(text)).modelspace()
    found = {}
    for entity in space.query('LWPOLYLINE[layer=="CUT"]'):
        outline = shapely.Polygon([(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(0.005)])
        on_it = [
            text.dxf.text
            for text in space.query('TEXT[layer=="TEXT"]')
            if outline.contains(shapely.Point(text.dxf.insert.x, text.dxf.insert.y))
        ]
        (name,) = (each for each in on_it if each.startswith(("rib", "spine")))
        found[name] = Board(name, outline, on_it)
    assert len(found) == len(pieces)
    return found


def moved_to(outline, place):
    return shapely.affinity.translate(outline, -place[0], -place[1])


def prism(outline, thick):
    body = Manifold.extrude(CrossSection([np.array(outline.exterior.coords)[:-1]], FillRule.EvenOdd), thick)
    return body.translate((0.0, 0.0, -0.5 * thick))


def assembled(boards, back):
    """Ribs and spines as bodies, put together: the ends of the first spine's slots lie on the axis x = y = 0.

    `back` is the way of that spine's slots in a rib's own drawing, where the front is up.
    """
    ribs = sorted((board for name, board in boards.items() if name.startswith("rib")), key=lambda each: each.height)
    flat = [moved_to(rib.outline, rib.ends(back)[0]) for rib in ribs]
    bodies = [prism(each, BOARD).translate((0.0, 0.0, rib.height)) for each, rib in zip(flat, ribs, strict=True)]
    spines = []
    ways = [back, np.array([-back[1], back[0]]), np.array([back[1], -back[0]])]
    for number, way in enumerate(ways[: len(boards) - len(ribs)], 1):
        spine = boards[f"spine {number}"]
        # Slots in a spine are level, and end where the ribs' own begin.
        ends = spine.ends(np.array([1.0, 0.0]))
        assert len(ends) == len(ribs)
        np.testing.assert_allclose(np.diff(ends[:, 1]), np.diff([rib.height for rib in ribs]), atol=0.11)
        np.testing.assert_allclose(ends[:, 0], ends[0, 0], atol=1e-6)
        body = prism(moved_to(spine.outline, (ends[0, 0], ends[0, 1] - ribs[0].height)), BOARD)
        # From the drawing (way, height, out of it) to the plan's way, upright.
        turn = np.zeros((3, 4))
        turn[:2, 0], turn[2, 1], turn[:2, 2] = way, 1.0, (way[1], -way[0])
        at = np.zeros(2)
        if number > 1:
            # Where the ribs' slots for it end, which is beside the first spine.
            sideways = [rib.ends(way) - rib.ends(back)[0] for rib in ribs]
            at = np.array([ends[np.argmax(ends @ way)] for ends in sideways])
            np.testing.assert_allclose(at, at[:1].repeat(len(at), axis=0), atol=1e-6)
            at = at[0]
        spines.append(body.transform(turn).translate((at[0], at[1], 0.0)))
    return ribs, flat, bodies, spines


BACK = np.array([0.0, -1.0])


@pytest.fixture(scope="module", params=[(1, False), (2, True)], ids=["one spine", "crossed, mirrored"])
def case(request):
    spines, mirrored = request.param
    ribs = ribs_on(SHIN, spines=spines, mirrored=mirrored)
    return mirrored, ribs, *assembled(boards_in(ribs), BACK)


def test_put_together_they_give_the_sections_again(case):
    mirrored, _, ribs, flat, _, _ = case
    face, _, _, _ = dressed_on(SHIN)
    assert len(ribs) == 7
    turns = np.linspace(0.0, 2 * np.pi, 1500, endpoint=False)
    place = None
    for rib, outline in zip(ribs, flat, strict=True):
        points = section(face.surface, rib.height, turns)
        points = np.column_stack([points[:, 1] if mirrored else -points[:, 1], points[:, 0]])
        whole = shapely.Polygon(points)
        if place is None:
            # The spine lies somewhere in the limb: the first rib tells where, for all of them.
            (x0, _, x1, y1), (left, _, right, top) = outline.bounds, whole.bounds
            place = 0.5 * (x0 + x1 - left - right), y1 - top
        whole = shapely.affinity.translate(whole, *place)
        slots = whole.difference(outline)
        around = shapely.points(np.array(whole.exterior.coords))
        near = shapely.distance(around, outline.exterior)
        free = shapely.distance(around, slots.buffer(-0.5)) > 6.0
        assert free.mean() > 0.7
        assert near[free].max() < 0.2
        assert outline.difference(whole).buffer(-0.1).is_empty
        # Nothing but slots as wide as the board and its play is missing.
        assert slots.buffer(-0.5 * (BOARD + PLAY) - 0.1).is_empty


def test_slots_interlock_without_running_into_each_other(case):
    _, _, _, _, bodies, spines = case
    for spine in spines:
        for body in bodies:
            assert (body ^ spine).volume() < 0.1
        # Each rib is held up and down, and against the end of its slot; out of it it slides freely.
        for body in bodies:
            for lift in (0.5 * PLAY + 0.05, -0.5 * PLAY - 0.05):
                assert (body.translate((0.0, 0.0, lift)) ^ spine).volume() > 1.0
    for body in bodies:
        assert (body.translate((0.0, -0.2, 0.0)) ^ spines[0]).volume() > 5.0
        assert (body.translate((0.0, 0.2, 0.0)) ^ spines[0]).volume() < 0.1
    for i, one in enumerate(spines):
        for other in spines[i + 1 :]:
            assert (one ^ other).volume() < 0.1


def test_spines_that_cross_lock_ribs_on_the_first(case):
    """Ribs slide off towards the front until the boards from the sides are in."""
    _, _, _, _, bodies, spines = case
    for body in bodies:
        forward = body.translate((0.0, PLAY + 0.1, 0.0))
        held = sum((forward ^ spine).volume() for spine in spines)
        assert (held > 1.0) == (len(spines) > 1)


def test_texts_lie_on_their_boards_and_off_each_other(case):
    _, ribs, *_ = case
    for piece in (*ribs.ribs, *ribs.spines):
        inside = shapely.Polygon(polyline(piece.outline, 0.05))
        boxes = [shapely.Polygon(text_box(label)) for label in piece.labels]
        assert len(boxes) == (4 if piece in ribs.ribs else 2 + len(ribs.ribs))
        for i, box in enumerate(boxes):
            assert inside.contains(box)
            assert not any(box.intersects(other) for other in boxes[i + 1 :])
            assert not any(box.intersects(shapely.LineString(mark.path.points)) for mark in piece.marks)
        assert piece.thickness == BOARD


def test_end_ribs_lie_flush_with_the_formers_ends():
    heights = rib_heights(dressed_on(SHIN)[0], plan())
    assert heights[0] == pytest.approx(-5.0 + 3.0)
    assert heights[-1] == pytest.approx(145.0 - 3.0)
    assert np.diff(heights).max() <= 25.0


def test_slots_open_where_the_seam_is():
    """At the outside the main slot opens to the left of a left limb, seen from above with the front up."""
    for mirrored, way in ((False, (-1.0, 0.0)), (True, (1.0, 0.0))):
        ribs = ribs_on(SHIN, opening=1.4, mirrored=mirrored, every=80.0)
        board = boards_in(ribs)["rib 2"]
        assert len(board.ends(np.array(way))) == 1
        end, middle = board.ends(np.array(way))[0], np.array(board.outline.centroid.coords[0])
        beyond = shapely.LineString([end, end + 100.0 * np.array(way)])
        assert shapely.intersection(board.outline, beyond).length < 1e-6
        assert np.linalg.norm(end - middle) < 25.0


def test_a_cover_makes_ribs_smaller_by_its_thickness():
    skin = cylinder(60.0, high=170.0)
    face, _, _, _ = dressed_on(skin)
    radius = float(face.surface.radius(np.array(50.0), np.array(0.0)))
    for cover in (0.0, 5.0):
        outline = shapely.Polygon(polyline(ribs_on(skin, cover=cover, every=80.0).ribs[1].outline, 0.01))
        assert outline.bounds[3] - outline.bounds[1] == pytest.approx(2 * (radius - cover), abs=0.3)
        assert outline.bounds[2] - outline.bounds[0] == pytest.approx(2 * (radius - cover), abs=0.1)


def test_ribs_too_narrow_for_a_spine_are_refused():
    with pytest.raises(FormerError, match="no room in common for straight spines at least 20 mm wide"):
        ribs_on(cylinder(12.0, high=170.0))
