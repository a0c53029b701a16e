"""Random jobs: whatever a maker may ask for ends in sound pieces, or in one clear sentence."""

import io
import json
from collections import Counter

import ezdxf
import ezdxf.path
import jsonschema
import numpy as np
import pytest
import shapely
import shapely.affinity

from flatten import report_schema
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
    dress(table, chance, high)
    return table, kind, side, skin


def dress(table, chance, high):
    """What else a maker may ask for: plates, corners, lines, linings, straps by number or height, skived overlaps."""
    plates = int(chance.choice([0, 1] if table["dart"] else [0, 1, 1, 2]))
    along = [seam["along"] for seam in table["seam"]]
    seams = np.sort(np.mod([a if isinstance(a, float) else np.mean([b for b, _ in a]) for a in along], 360.0))
    widths = np.diff([*seams, seams[0] + 360.0])
    widest = int(np.argmax(widths))
    middle = float(seams[widest] + 0.5 * widths[widest])
    table["plate"] = [
        random_plate(chance, k, middle, float(widths[widest]), high, alone=plates < 2) for k in range(plates)
    ]
    table["piece"]["corners"] = str(chance.choice(["auto", "auto", "0 mm", "4 mm"]))
    if chance.random() < 0.4:
        table["edges"]["lines"] = {"bevel": "1 mm", "border": "5 mm", "stitch": mm(chance.choice([0.0, 3.5]))}
    if chance.random() < 0.2:
        table["lining"] = {
            "thickness": mm(chance.uniform(0.6, 1.4)),
            "allowance": str(chance.choice(["flush", "5 mm"])),
        }
    table["fitting"] = [random_fitting(chance, high) for _ in range(int(chance.choice([0, 0, 1, 2])))]
    if chance.random() < 0.2:
        table["mockup"] = {"material": str(chance.choice(["paper", "felt", "foam", "cloth"]))}
    for seam in table["seam"]:
        if seam["kind"] == "strapped":
            ways = [{}, {"straps": int(chance.integers(2, 4))}, {"at": [mm(0.3 * high), mm(0.45 * high)]}]
            seam |= ways[chance.integers(3)]
        elif seam.get("overlap") and chance.random() < 0.4:
            seam["skive"] = "auto"


def random_fitting(chance, high):
    """What a try-on showed, in a maker's words."""
    girths = [
        f"tight by {chance.integers(2, 10)} mm at the widest",
        f"{chance.integers(2, 10)} mm loose at the top",
        f"loose by {chance.integers(1, 6)} mm at {0.3 * high:.0f} mm",
        f"tight by {chance.integers(1, 5)} mm at {0.4 * high:.0f} mm in front",
        "fits at the widest",
        "slides down",
    ]
    edges = ["top edge 8 mm too high behind", "top edge touches behind at 90 degrees"]
    showed = [girths[chance.integers(len(girths))], *([edges[chance.integers(2)]] if chance.random() < 0.5 else [])]
    return {"material": str(chance.choice(["paper", "felt", "foam", "leather"])), "showed": showed}


def random_plate(chance, number, middle, across, high, *, alone):
    """A plate by a region, a curve or its panel's edges, about the middle of a panel `across` degrees wide; the second
    one on the first."""
    plate = {"name": f"plate {number}", "pitch": mm(chance.uniform(25, 40)), "rivet": mm(chance.choice([3.0, 4.0]))}
    low, wide, tall = 0.3 * high, chance.uniform(0.1, 0.15) * across, chance.uniform(0.2, 0.25) * high
    if number:
        plate |= {"on": "plate 0", "pitch": "25 mm"}
        wide, tall, low = 0.04 * across, 0.08 * high, 0.36 * high
    way = int(chance.integers(4)) if alone else 3
    if way == 0 and across == 360.0:
        plate |= {"inset": mm(chance.uniform(6, 14))}
    elif way == 1:
        around = [[middle - wide, low], [middle + wide, low], [middle, low + tall]]
        plate |= {"curve": [[float(b), mm(h)] for b, h in around], "corners": str(chance.choice(["smooth", "sharp"]))}
    else:
        plate |= {"around": [middle - wide, middle + wide], "heights": [mm(low), mm(low + tall)]}
    plate["thickness"] = str(chance.choice(["auto", "2 mm"]))
    plate["punch"] = str(chance.choice(["two", "all", "none"]))
    return plate


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


def in_order(outer, pieces):
    """The drawn outlines, which are cut small before large, in the order of their pieces, told by area."""
    areas = [shapely.Polygon(polyline(piece.outline, FLAT)).area for piece in pieces]
    by_area = dict(zip(np.argsort(areas, kind="stable"), sorted(outer, key=lambda shape: shape.area), strict=True))
    return [by_area[k] for k in range(len(pieces))]


def check_distances(drawing, outer, pieces):
    """No hole is nearer to an edge than its own distance, told by its size: eyelets 5 mm, rivets 3 or 4 mm."""
    space = drawing.modelspace()
    rims = [shape.exterior for shape in outer]
    stitched = {hole.diameter for piece in pieces for hole in piece.holes if hole.kind == "stitch"}
    near = []
    for circle in space.query("CIRCLE"):
        at, size = shapely.Point(circle.dxf.center.x, circle.dxf.center.y), 2 * circle.dxf.radius
        number = next(k for k, shape in enumerate(outer) if shape.contains(at))
        least = max(2 * size, 2 * pieces[number].thickness, 10.0 if size == 5.0 else 0.0)
        if any(abs(size - stitch) < 1e-6 for stitch in stitched):
            least = 3.0
        if rims[number].distance(at) < least - 0.1:
            near.append((pieces[number].name, size, rims[number].distance(at), least))
    assert not near, near
    for slot in space.query('LWPOLYLINE[layer=="HOLES"]'):
        shape = polygon(ezdxf.path.make_path(slot))
        number = next(k for k, own in enumerate(outer) if own.contains(shape))
        assert rims[number].distance(shape) > max(10.0, 2 * pieces[number].thickness) - 0.1


def check_riveted(plate, pieces, sets):
    """A plate has as many rivets as lie beneath it, and only so many of those are punched flat as it asks for."""
    own = [hole for piece in pieces for hole in piece.holes if hole.seam == plate["name"] and hole.kind == "rivet"]
    upper = [hole for piece in pieces if piece.name.endswith(plate["name"]) for hole in piece.holes if hole in own]
    assert len(upper) >= 2 * sets
    assert len(own) == 2 * len(upper)
    assert not any(hole.after for hole in upper)
    beneath = [hole for hole in own if hole not in upper]
    flat = {"two": 2 * sets, "all": len(beneath), "none": 0}[plate["punch"]]
    assert sum(not hole.after for hole in beneath) == flat


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
    sets = 2 if table["piece"]["pair"] == "mirrored" else 1
    linings = len(laid.panels) if "lining" in table else 0
    assert len(pieces) == (len(laid.panels) + len(table["plate"]) + linings) * sets
    files = dict(result.files)
    jsonschema.validate(json.loads(files["report.json"]), report_schema(), jsonschema.Draft202012Validator)
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
    leather = [piece for piece in pieces if piece.part != "lining"]
    assert (
        len([hole for piece in leather for hole in piece.holes if hole.kind == "stop"]) == len(laid_darts(laid)) * sets
    )
    outer = in_order(outer, pieces)
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
    check_distances(drawing, outer, pieces)
    if laid.even:
        check_mirrored([shape for shape, piece in zip(outer, pieces, strict=True) if piece.part == "base"])
    for piece in pieces:
        assert not clashes(piece), (piece.name, clashes(piece))
        texts = [label.text for label in piece.labels]
        assert any("grain side up" in " ".join(texts) or text.endswith((" L", " R")) for text in texts), piece.name
        if piece.part == "base":
            assert any(text.startswith("TOP") for text in texts), piece.name
    counts = Counter((hole.kind, hole.seam, hole.side) for piece in leather for hole in piece.holes)
    for (fastening, seam, where), count in counts.items():
        if fastening != "stop" and where in ("low", "high"):
            assert counts[fastening, seam, "low" if where == "high" else "high"] == count
    for plate in table["plate"]:
        check_riveted(plate, leather, sets)
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
    # A dart at random falls on a seam or overlaps when flat about every second time, a plate at random may reach over a
    # seam's holes; little else is refused.
    assert np.mean(done) > 0.5
