"""What is written on a piece is true of the limb: which half is the outside, what meets what, and at which height."""

import functools
import itertools

import numpy as np
import pytest
import shapely
from matplotlib.tri import Triangulation

from flatten.job.pieces import pieces_of
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.limb.kind import FOREARM, LOWER_LEG, THIGH
from flatten.making import lay
from flatten.pattern.clashes import clashes
from flatten.pattern.lettering import text_box
from flatten.pattern.zones import ground_of
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, limb_of

BUMP, HEIGHT = 14.0, 300.0
"""mm. How far the bump stands out of the limb at bearing 90°, and how high the limb is."""

KINDS = {kind.name: kind for kind in (LOWER_LEG, FOREARM, THIGH)}
ONE = ({"name": "back", "along": "back"},)
TWO = (
    {"name": "one", "along": "outside", "kind": "laced"},
    {"name": "other", "along": "inside", "kind": "riveted"},
)
LAYERS = (
    {"name": "one", "along": "front", "kind": "stitched"},
    {"name": "other", "along": "back", "kind": "stitched", "overlap": "20 mm"},
)
THREE = tuple({"name": f"{at:.0f}°", "along": at} for at in (50.0, 180.0, 310.0))
SEAMS = {"one piece": ONE, "laced and riveted": TWO, "stitched": LAYERS, "three": THREE}
PAIRED = ("one piece", "laced and riveted", "stitched")


def bumped(h, b):
    """Radius of a cone with a bump at bearing 90°: nobody needs a chart to see where that is."""
    return 48.0 + 0.02 * h + BUMP * np.exp(-(((np.mod(b, 2 * np.pi) - np.pi / 2) / 0.5) ** 2))


@functools.cache
def made(kind, side, seams, pair="no"):
    """The flat panels of a bumped limb on a coarse mesh, and its pieces, both its own and their mirror images."""
    job = job_of(
        {
            "scan": {"file": "made-up.ply", "limb": kind, "side": side},
            "edges": {"top": "240 mm", "bottom": "30 mm"},
            "seam": list(SEAMS[seams]),
            "piece": {"pair": pair},
        },
        name="the test",
    )
    found = found_on(limb_of(bumped, high=HEIGHT), kind=KINDS[kind], side=side, widest=200.0, joint=290.0)
    laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=8.0)
    drawn = pieces_of(laid)
    return [panel.flat for panel in laid.panels], found.limb.frame.mirrored, drawn


def on_limb(flat, points, *, turned):
    """Where places (n,2) of a flat piece lie on the limb: front, lateral and height (n,3), mm, by its mesh alone."""
    uv, faces = flat.uv * [-1.0 if turned else 1.0, 1.0], flat.panel.mesh.faces
    points = np.atleast_2d(points)
    at = Triangulation(*uv.T, faces).get_trifinder()(*points.T)
    found = np.empty((len(points), 3))
    for i, (point, face) in enumerate(zip(points, at, strict=True)):
        corner = faces[face] if face >= 0 else np.argsort(np.hypot(*(uv - point).T))[:3]
        edges = np.stack([uv[corner[1]] - uv[corner[0]], uv[corner[2]] - uv[corner[0]]], axis=1)
        share = np.linalg.solve(edges, point - uv[corner[0]])
        found[i] = np.r_[1.0 - share.sum(), share] @ flat.panel.mesh.vertices[corner]
    return found


def placed(piece, text):
    """The middles (n,2) of the labels of that text; one that was broken is found by its first words."""
    return [text_box(label).mean(axis=0) for label in piece.labels if label.text == text]


def bump_height(place):
    """How far a place of the limb lies outside the cone that the limb is without its bump."""
    return np.hypot(place[0], place[1]) - (48.0 + 0.02 * place[2])


CASES = [("lower leg", "left"), ("lower leg", "right"), ("forearm", "left"), ("forearm", "right")]
SIDES = {"lower leg": ("front", "outside", "back", "inside")}
SIDES["forearm"] = ("back of the hand side", "thumb side", "palm side", "little-finger side")


def pieces_and_turns(kind, side, seams):
    """Each flat panel with the piece that is drawn for it, and whether that is turned over; the opposite limb's too."""
    flats, turned, drawn = made(kind, side, seams, "mirrored")
    own = [(flat, piece, turned) for flat, piece in zip(flats, drawn.pieces, strict=True)]
    return own + [(flat, piece, not turned) for flat, piece in zip(flats, drawn.mirrored, strict=True)]


@pytest.mark.parametrize(("kind", "side"), CASES)
def test_the_outside_is_where_the_bump_is_and_the_inside_where_it_is_not(kind, side):
    front, outside, back, inside = SIDES[kind]
    for flat, piece, turned in pieces_and_turns(kind, side, "one piece"):
        heights = {}
        for word in (outside, inside):
            (middle,) = placed(piece, word)
            (heights[word],) = on_limb(flat, middle, turned=turned)
        assert bump_height(heights[outside]) > 0.5 * BUMP
        assert bump_height(heights[inside]) < 6.0
        for word, sign in ((front, 1.0), (back, -1.0)):
            for middle in placed(piece, word):
                (place,) = on_limb(flat, middle, turned=turned)
                assert sign * place[0] > 0.0, word


@pytest.mark.parametrize(("kind", "side"), CASES)
def test_a_left_piece_has_its_outside_on_the_right_and_a_right_piece_on_the_left(kind, side):
    """Grain side up and the body above: of a left leg that one faces, and of a right forearm whose back of the hand one
    looks at, the outside or the thumb is on the right."""
    _, outside, _, inside = SIDES[kind]
    rightwards = {
        ("lower leg", "left"): 1,
        ("lower leg", "right"): -1,
        ("forearm", "left"): -1,
        ("forearm", "right"): 1,
    }
    for _, piece, _ in pieces_and_turns(kind, side, "one piece"):
        (one,), (other,) = placed(piece, outside), placed(piece, inside)
        assert np.sign(one[0] - other[0]) == rightwards[kind, piece.side]
        assert any(label.text == f"{piece.side.upper()}, grain side up" for label in piece.labels)


@pytest.mark.parametrize(("kind", "side"), CASES)
def test_the_top_edge_is_the_one_towards_the_body(kind, side):
    ends = {"lower leg": ("knee", "foot"), "forearm": ("elbow", "hand")}[kind]
    for flat, piece, turned in pieces_and_turns(kind, side, "one piece"):
        (top,) = (text_box(label).mean(axis=0) for label in piece.labels if label.text.startswith("TOP"))
        assert any(label.text in ("TOP", f"TOP, towards the {ends[0]}") for label in piece.labels)
        assert any(label.text in ("bottom", f"bottom, towards the {ends[1]}") for label in piece.labels)
        assert on_limb(flat, top, turned=turned)[0, 2] > 200.0


@pytest.mark.parametrize(("kind", "side"), CASES)
def test_a_piece_that_meets_itself_says_from_which_side_the_other_edge_comes(kind, side):
    _, outside, back, inside = SIDES[kind]
    for flat, piece, turned in pieces_and_turns(kind, side, "one piece"):
        texts = [label for label in piece.labels if label.text.endswith(" edge")]
        assert len(texts) == 2
        for label in texts:
            (place,) = on_limb(flat, text_box(label).mean(axis=0), turned=turned)
            # The bump is to the side of growing laterals: there the other edge comes from the inside.
            other = inside if place[1] > 0.0 else outside
            assert label.text in (f"{back}: laces to the {other} edge", f"{back}: the {other} edge")
        if kind == "forearm":
            assert not any(word in label.text for label in piece.labels for word in ("outside", "inside", "back:"))


def match_marks(flat, piece, turned):
    """Places on the limb of a piece's match marks (n,3), at their outer ends."""
    ends = [mark.path.points[0] for mark in piece.marks if mark.kind == "match mark"]
    return on_limb(flat, np.array(ends), turned=turned)


@pytest.mark.parametrize("seams", PAIRED)
@pytest.mark.parametrize(("kind", "side"), [("thigh", "left"), ("thigh", "right"), ("forearm", "right")])
def test_mates_have_their_marks_at_the_same_heights_and_meet_when_worn(kind, side, seams):
    cases = pieces_and_turns(kind, side, seams)
    for own in (cases[: len(cases) // 2], cases[len(cases) // 2 :]):
        marks = np.concatenate([match_marks(*case) for case in own])
        bearings = np.arctan2(marks[:, 1], marks[:, 0])
        for seam, at in ((ONE[0], np.pi),) if seams == "one piece" else _bearings(seams):
            near = np.abs(np.mod(bearings - at + np.pi, 2 * np.pi) - np.pi) < 0.6
            heights = np.sort(marks[near, 2])
            pairs = heights.reshape(-1, 2)
            assert len(pairs) >= 4, seam["name"]
            np.testing.assert_allclose(pairs[:, 0], pairs[:, 1], atol=0.4)
            # The topmost two are one double mark, the lower of them at its side's distance from the other.
            levels = pairs.mean(axis=1)
            single = np.r_[levels[:-2], levels[-1]]
            np.testing.assert_allclose(single, 25.0 * np.round(single / 25.0), atol=0.3)
            assert levels[-1] - levels[-2] == pytest.approx(2.5, abs=0.3)
            for level in levels:
                one, other = marks[near & (np.abs(marks[:, 2] - level) < 0.6)]
                # A lacing gap of 25 mm, or the layer's thickness of leather on leather, or nothing edge to edge.
                apart = {"laced": 25.0, "riveted": 3.2, "stitched": 3.2 if seam.get("overlap") else 0.0}
                assert np.linalg.norm(one - other) == pytest.approx(apart[seam.get("kind", "laced")], abs=1.6)


def _bearings(seams):
    """Each of two seams with the bearing that it runs along, rad."""
    bearings = {"laced and riveted": (np.pi / 2, -np.pi / 2), "stitched": (0.0, np.pi)}
    return zip(SEAMS[seams], bearings[seams], strict=True)


@pytest.mark.parametrize("seams", PAIRED)
def test_a_mark_s_number_is_its_height_and_has_the_same_letter_on_both_mates(seams):
    cases = pieces_and_turns("thigh", "left", seams)
    numbers = {}
    for flat, piece, turned in cases[: len(cases) // 2]:
        marks = match_marks(flat, piece, turned)
        for label in piece.labels:
            letter, height = label.text[: label.text[:1].isalpha()], label.text.lstrip("ABC")
            if not height.isdigit():
                continue
            (place,) = on_limb(flat, text_box(label).mean(axis=0), turned=turned)
            assert np.abs(place[2] - float(height)) < 20.0
            assert np.abs(marks[:, 2] - float(height)).min() < 0.3
            numbers.setdefault(letter, []).append(place)
    assert set(numbers) == ({""} if seams == "one piece" else {"A", "B"})
    for places in numbers.values():
        # All numbers of a letter stand about one seam.
        bearings = np.exp(1j * np.array([np.arctan2(place[1], place[0]) for place in places]))
        assert np.abs(bearings.mean()) > 0.7
        assert len(places) >= 4


@pytest.mark.parametrize("seams", SEAMS)
@pytest.mark.parametrize(("kind", "side"), CASES)
def test_no_label_lies_on_anything(kind, side, seams):
    for _, piece, _ in pieces_and_turns(kind, side, seams):
        assert clashes(piece) == ()


def test_a_seam_s_sides_name_each_other_s_pieces():
    cases = pieces_and_turns("thigh", "left", "laced and riveted")
    for (_, one, _), (flat, other, _) in itertools.permutations(cases[: len(cases) // 2], 2):
        ending = f"the {flat.panel.name} piece"
        assert sum(label.text.endswith(ending) for label in one.labels) == 2
        assert not any(label.text.endswith(ending) for label in other.labels)


def test_a_narrow_piece_keeps_its_mates_names_its_side_and_its_top():
    for _, piece, _ in pieces_and_turns("thigh", "left", "three"):
        texts = [label.text for label in piece.labels]
        assert sum(text.endswith(" piece") for text in texts) == 2, texts
        assert any(text.startswith("TOP") for text in texts)
        assert f"{piece.side.upper()}, grain side up" in " ".join(texts)
        assert any(mark.kind == "grain" for mark in piece.marks)


def test_where_alone_to_tool_is_said_within_the_zone():
    job = job_of({"scan": {"file": "made-up.ply", "limb": "lower leg", "side": "left"}}, name="the test")
    design = design_of(job, found_on(limb_of(calf)))
    laid = lay(design, limits=PRESETS["cased"], announce=lambda step: None, edge_length=8.0)
    (piece,) = pieces_of(laid).pieces
    labels = [label for label in piece.labels if label.text.startswith("tool only")]
    assert len(labels) >= 2
    ground = shapely.union_all([ground_of(zone) for zone in piece.tooled]).buffer(0.1)
    assert all(shapely.contains(ground, shapely.Polygon(text_box(label))) for label in labels)
    assert clashes(piece) == ()
