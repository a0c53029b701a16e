"""Formers of limbs with a formula: the face, the leather's edges on it, and what a former is asked to be."""

import io
from functools import cache

import numpy as np
import shapely
import trimesh

from flatten.former.face import edge_lines, face_of
from flatten.former.model import FormerPlan
from flatten.former.printed import printed
from flatten.former.stl import stl_bytes
from flatten.words.english import ENGLISH
from flatten.worn.curves import Edge, Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.neutral import Wear, neutral_surface
from tests.limbs import calf, limb_of

QUARTERS = np.arange(4) * np.pi / 2
WEAR = Wear(under=(3.0, 3.0, 3.0, 3.0), ease=8.0, thickness=3.2, neutral=0.5)
OFFSET = 3.0 + 8.0 / (2 * np.pi)
"""mm of the inner face outside the skin under WEAR."""

SPAN = (20.0, 120.0)
BACK = Seam("back", "laced", 25.0, np.array([0.0]), np.array([np.pi]))


def uneven(h, b):
    """Radius of an invented lower leg whose outside is fuller than its inside; mm."""
    return calf(h + 60.0, b) + 3.0 * np.sin(b)


SHIN = limb_of(uneven, high=170.0)
"""A limb that is not its own mirror image."""


def plan(**changes):
    own = {
        "printed": True,
        "ribbed": True,
        "past": 25.0,
        "springback": 0.0,
        "wall": 0.0,
        "bed": (220.0, 220.0, 250.0),
        "clearance": 0.2,
        "board": 6.0,
        "play": 0.2,
        "every": 25.0,
        "spines": 1,
        "cover": 0.0,
    }
    return FormerPlan(**{**own, **changes})


@cache
def dressed_on(skin, *, springback=0.0, span=SPAN, seams=(BACK,)):
    """The face of a former on a skin, the leather's neutral surface, its panels, and their edges on the face."""
    worn = neutral_surface(skin, WEAR).surface
    low, high = span
    bottom = Edge("bottom edge", QUARTERS, np.array([low + 12.0, low, low + 12.0, low]))
    top = Edge("top edge", QUARTERS, np.array([high, high - 15.0, high - 30.0, high - 15.0]))
    panels = cut_panels(worn, Cuts(bottom, top, seams), edge_length=5.0)
    face = face_of(skin, WEAR, span=span, past=25.0, springback=springback)
    return face, worn, panels, edge_lines(panels, worn, face, depth=WEAR.neutral * WEAR.thickness)


def parts_on(skin, *, side="left", mirrored=False, springback=0.0, **changes):
    """The printed parts of a former on a skin."""
    face, _, _, edges = dressed_on(skin, springback=springback)
    return printed(face, plan(**changes), edges, side=side, mirrored=mirrored, language=ENGLISH)


def read(part):
    """A part as another program reads its STL."""
    return trimesh.load(io.BytesIO(stl_bytes(part.body, "a test")), file_type="stl")


def outline_at(mesh, height):
    """The plane region that a mesh fills at a height."""
    found = mesh.section(plane_origin=[0.0, 0.0, height], plane_normal=[0.0, 0.0, 1.0])
    region = shapely.Polygon()
    for loop in sorted((shapely.Polygon(loop[:, :2]) for loop in found.discrete), key=lambda each: -each.area):
        region = region.symmetric_difference(loop)
    return region


def in_place(part):
    """A part's mesh, brought to where it lies in the whole former."""
    mesh = read(part)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(part.turned, [0, 0, 1]))
    mesh.apply_translation(part.moved)
    return mesh
