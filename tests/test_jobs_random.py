"""Random jobs: whatever a maker may ask for ends in sound pieces, or in one clear sentence."""

import io
from collections import Counter

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely
import shapely.affinity

from flatten.errors import CalfskinError
from flatten.job.text import job_from, job_of, job_text
from flatten.leather.limits import PRESETS
from flatten.limb.kind import kind_named
from flatten.making import finish, lay
from flatten.pattern.clashes import clashes
from flatten.pattern.path import polyline
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, limb_of

COUNT = 200
SOME = (34, *range(3, COUNT, 33))
"""Those that run by default; 34 is stitched over itself where the leather cannot make both sides equally long."""

EDGE_LENGTH = 8.0
"""mm. The mesh of a preview: the chain is the same, and 200 jobs are done in minutes."""

FLAT = 1e-4
"""mm. Sagitta of outlines whose areas are compared."""

KINDS = ("laced", "laced", "strapped", "open", "stitched", "riveted")


def arm(h, b):
    """Radius of an invented forearm: a flat wrist, a belly to the thumb side; mm."""
    swell = 1.0 / (1.0 + np.exp(-(h - 90.0) / 32.0))
    return 27.0 + 17.0 * swell - 4.0 * (h / 260.0) ** 4 + (2.5 - 2.0 * swell) * np.cos(2 * b) + 2.0 * swell * np.sin(b)


LIMBS = {"lower leg": (calf, 400.0, 350.0, 240.0), "forearm": (arm, 280.0, 260.0, 185.0)}


def mm(value):
    return f"{value:.1f} mm"


def random_job(number):
    """Job `number` as a table, and the limb's kind, side and skin."""
    chance = np.random.default_rng(number)
    kind = str(chance.choice(list(LIMBS)))
    radius, high, _, _ = LIMBS[kind]
    size, lobes, twist = chance.uniform(0.85, 1.15), chance.uniform(0, 1), chance.uniform(0, 2 * np.pi)
    skin = limb_of(lambda h, b: size * radius(h, b) + lobes * np.cos(3 * b + twist), high=high)
    side = str(chance.choice(["left", "right"]))
    seams = int(chance.choice([1, 1, 2, 2, 3]))
    first = chance.uniform(0, 360)
    table = {
        "scan": {"file": "made-up.ply", "limb": kind, "side": side},
        "wear": {"under": mm(chance.uniform(0, 8)), "ease": mm(chance.uniform(0, 15))},
        "leather": {"thickness": mm(chance.uniform(1.6, 5.0)), "hardened": bool(chance.random() < 0.3)},
        "edges": random_edges(chance, high),
        "seam": [random_seam(chance, k, first + 360.0 * k / seams, high) for k in range(seams)],
        "dart": [random_dart(chance, k) for k in range(int(chance.choice([0, 0, 0, 1, 2])))],
    }
    for seam in table["seam"]:
        seam["hold"] = str(chance.choice(["rivets", "slots"]))
        seam["strap"] = mm(chance.uniform(12, 30))
    for dart in table["dart"]:
        dart["close"] = str(chance.choice([dart["close"], "auto"]))
        dart["stop"] = mm(chance.uniform(3, 5))
    table["piece"] = {"pair": str(chance.choice(["no", "no", "mirrored"]))}
    if chance.random() < 0.4:
        make_even(table, chance)
    return table, kind, side, skin


def make_even(table, chance):
    """A symmetrical piece asked for, its seams placed so that it can nearly be one; darts stay where they are."""
    table["piece"]["symmetry"] = "centre line"
    seams = table["seam"]
    bearings = {1: [180.0], 2: [[90.0, 270.0], [0.0, 180.0]][chance.integers(2)], 3: [60.0, 180.0, 300.0]}[len(seams)]
    mates = {1: {}, 2: {1: 0} if bearings[0] else {}, 3: {2: 0}}[len(seams)]
    for number, mate in mates.items():
        seams[number] = dict(seams[mate], name=seams[number]["name"])
    for seam, bearing in zip(seams, bearings, strict=True):
        seam["along"] = bearing + chance.uniform(-8, 8)


def random_edges(chance, high):
    top = [
        "auto",
        {"shape": "straight", "height": mm(chance.uniform(0.6, 0.85) * high)},
        {"shape": "swept", "by": mm(chance.uniform(20, 90))},
        {"points": [[k * 60.0, mm(0.72 * high + chance.uniform(-20, 20))] for k in range(6)]},
    ][chance.integers(4)]
    bottom = [
        "auto",
        mm(chance.uniform(5, 50)),
        {"shape": "arched", "height": mm(chance.uniform(5, 30)), "by": mm(chance.uniform(5, 30))},
    ][chance.integers(3)]
    flare = {"top": mm(chance.choice([0.0, 0.0, 4.0])), "bottom": mm(chance.choice([0.0, 0.0, 6.0]))}
    return {"top": top, "bottom": bottom, "flare": flare}


def random_seam(chance, number, bearing, high):
    kind = str(chance.choice(KINDS))
    seam = {"name": f"seam {number}", "kind": kind, "along": bearing + chance.uniform(-15, 15)}
    if chance.random() < 0.3:
        seam["along"] = [[bearing, "-15 mm"], [bearing + chance.uniform(-15, 15), mm(0.5 * high)], [bearing, mm(high)]]
    if kind in ("laced", "strapped"):
        seam["gap"] = mm(chance.uniform(10, 45))
    elif kind == "open":
        seam["gap"] = mm(chance.choice([0.0, 8.0]))
    elif kind == "riveted" or chance.random() < 0.5:
        seam["overlap"] = mm(chance.uniform(14, 26))
    return seam


def random_dart(chance, number):
    kind = str(chance.choice(["dart", "slash"]))
    return {
        "name": f"dart {number}",
        "kind": kind,
        "edge": str(chance.choice(["top", "bottom"])),
        "along": float(chance.uniform(0, 360)),
        "depth": mm(chance.uniform(25, 80)),
        "opening": mm(chance.uniform(2, 20)) if kind == "slash" else 0,
        "close": str(chance.choice(["stitched", "riveted", "open"])),
    }


def made(number):
    """The pieces and files of job `number`, or the sentence that refuses it."""
    table, kind, side, skin = random_job(number)
    job = job_of(table, name="the test")
    assert job_from(job_text(job), name="again") == job
    _, _, joint, widest = LIMBS[kind]
    found = found_on(skin, kind=kind_named(kind), side=side, widest=widest, joint=joint)
    try:
        laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=EDGE_LENGTH)
        return laid, finish(job, [(found, laid)], text=job_text(job), announce=lambda step: None)
    except CalfskinError as refusal:
        return str(refusal), None


def polygon(cut, within=0.01):
    """A closed outline within some mm; the reader's arcs end a rounding beside the next one's start: joined there."""
    points = np.round([(p.x, p.y) for p in cut.flattening(within)], 6)
    return shapely.Polygon(points[np.any(points != np.roll(points, 1, axis=0), axis=1)])


def laid_darts(laid):
    """Names of the darts that were cut."""
    return {
        boundary.name for p in laid.panels for boundary in p.flat.panel.boundaries if boundary.kind in ("dart", "slash")
    }


def check_distances(drawing, outer, thickness):
    """No hole is nearer to an edge than its own distance, told by its size: eyelets 5 mm, rivets 3 mm."""
    space = drawing.modelspace()
    rims = shapely.MultiLineString([shape.exterior for shape in outer])
    near = 0
    for circle in space.query("CIRCLE"):
        size = 2 * circle.dxf.radius
        least = max(2 * size, 2 * thickness, 10.0 if size == 5.0 else 0.0)
        if circle.dxf.layer == "STITCH":
            least = 3.0
        near += rims.distance(shapely.Point(circle.dxf.center.x, circle.dxf.center.y)) < least - 0.1
    assert near == 0
    for slot in space.query('LWPOLYLINE[layer=="HOLES"]'):
        assert rims.distance(polygon(ezdxf.path.make_path(slot))) > max(10.0, 2 * thickness) - 0.1


def check_mirrored(outer):
    """Each outline is the mirror image of itself or of another, wherever that lies, within 0.01 mm."""
    images = [shapely.affinity.scale(shape, -1.0, 1.0) for shape in outer]
    for shape in outer:
        misses = []
        for image in images:
            dx, dy = shape.bounds[0] - image.bounds[0], shape.bounds[1] - image.bounds[1]
            placed = shapely.affinity.translate(image, dx, dy)
            misses.append(shapely.hausdorff_distance(shape.exterior, placed.exterior))
        # 0.01 mm, and what polygons leave their arcs by.
        assert min(misses) < 0.01 + 0.01, min(misses)


def check(number):
    """Whether job `number` was made; all that must hold of what was made."""
    laid, result = made(number)
    if result is None:
        # A refusal is one sentence that says what to do.
        assert len(laid) > 40, laid
        return False
    pieces = result.report.cut
    table = random_job(number)[0]
    assert len(pieces) == len(laid.panels) * (2 if table["piece"]["pair"] == "mirrored" else 1)
    files = dict(result.files)
    drawing = ezdxf.read(io.StringIO(files["pattern.dxf"].decode()))
    cuts = [ezdxf.path.make_path(e) for e in drawing.modelspace().query('LWPOLYLINE[layer=="CUT"]')]
    shapes = [polygon(cut) for cut in cuts]
    outer = [shape for shape in shapes if not any(other.contains(shape) for other in shapes if other is not shape)]
    assert len(outer) == len(pieces)
    assert all(shape.is_valid and shape.area > 0 for shape in shapes)
    circles = [
        (c.dxf.center.x, c.dxf.center.y, c.dxf.radius) for c in drawing.modelspace().query('CIRCLE[layer=="HOLES"]')
    ]
    discs = [shapely.Point(x, y).buffer(radius, 64) for x, y, radius in circles]
    slots = [ezdxf.path.make_path(e) for e in drawing.modelspace().query('LWPOLYLINE[layer=="HOLES"]')]
    discs += [polygon(slot) for slot in slots]
    across = [disc for disc in discs if not any(shape.contains(disc) for shape in outer)]
    stops = [hole for piece in pieces for hole in piece.holes if hole.kind == "stop"]
    # A stop hole is the round end of a cut, part of the outline: it takes most of its disc off the piece.
    assert not across
    assert len(stops) == len(laid_darts(laid)) * len(pieces) // len(laid.panels)
    # Outlines 2 m long, each within FLAT mm of its arcs, enclose 0.2 mm² more or less at most.
    finely = sorted((polygon(cut, FLAT) for cut in cuts), key=lambda shape: -shape.area)[: len(outer)]
    whole = sum(shapely.Polygon(polyline(piece.outline, FLAT)).area for piece in pieces)
    taken = whole - sum(shape.area for shape in finely)
    discs_area = sum(np.pi * (0.5 * hole.diameter) ** 2 for hole in stops)
    assert 0.5 * discs_area - 1.0 <= taken <= discs_area + 1.0
    discs = np.array(discs, dtype=object)
    tree = shapely.STRtree(discs)
    one, other = tree.query(discs, predicate="dwithin", distance=0.5)
    assert (one == other).all()
    check_distances(drawing, outer, laid.design.wear.thickness)
    if laid.even:
        check_mirrored(outer)
    for piece in pieces:
        assert clashes(piece) == (), piece.name
        texts = [label.text for label in piece.labels]
        assert any(text.startswith("TOP") for text in texts), piece.name
        assert any("grain side up" in " ".join(texts) or text.endswith((" L", " R")) for text in texts), piece.name
    counts = Counter((hole.kind, hole.seam, hole.side) for piece in pieces for hole in piece.holes)
    for (fastening, seam, where), count in counts.items():
        if fastening != "stop":
            assert counts[fastening, seam, "low" if where == "high" else "high"] == count
    for panel in laid.panels:
        assert panel.flat.converged
        assert np.isfinite(panel.flat.uv).all()
    return True


@pytest.mark.parametrize("number", SOME)
def test_a_random_job_ends_in_sound_pieces_or_one_sentence(number):
    check(number)


@pytest.mark.full
def test_two_hundred_random_jobs_end_in_sound_pieces_and_few_are_refused():
    done = [check(number) for number in range(COUNT)]
    # A dart at random falls on a seam or overlaps when flat about every second time; little else is refused.
    assert np.mean(done) > 0.6
