"""Jobs with plates on limbs with a formula, and their holes read back from the DXF and found again on the limb."""

import io

import ezdxf
import numpy as np

from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from flatten.sheet.layout import side_by_side
from flatten.unwrap.limits import TO_SHOW
from flatten.unwrap.model import UNSOUGHT
from flatten.worn.rise import raised_normals, raised_points
from tests.analytic_jobs import design_of, found_on


def job_with(*plates, **tables):
    table = {
        "scan": {"file": "made-up.ply", "side": "left"},
        "wear": {"under": 0.0, "ease": 0.0},
        "leather": {"thickness": 3.2},
        "edges": {"bottom": "20 mm", "top": "300 mm"},
        "seam": [{"gap": "25 mm"}],
        "output": {"bound": False, "advice": False, "mesh": "quick"},
        "plate": list(plates),
    }
    return job_of(table | tables, name="the test")


def laid_on(skin, *plates, mesh=5.0, side="left", **tables):
    """A job with plates, what was found, and its pieces laid flat."""
    job, found = job_with(*plates, **tables), found_on(skin, side=side)
    return job, found, shown(job, found, mesh=mesh)


def shown(job, found, *, mesh):
    """A job laid flat as for a preview: where holes lie hangs on no fineness of the flat piece."""
    more = {"edge_length": mesh, "known": UNSOUGHT, "accuracy": TO_SHOW}
    return lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, **more)


def finished(job, found, laid):
    return finish(job, [(found, laid)], text="", announce=lambda step: None)


def drawn_holes(content, pieces):
    """For each piece the centres (n,2) of what the DXF draws as circles on HOLES and on MARK, where the piece's own
    outline lies: beside each other, in whatever order they are cut, within the 0.1 mm that a drawing may be off."""
    space = ezdxf.read(io.StringIO(content.decode())).modelspace()
    cuts = [np.array(entity.get_points("xy")) for entity in space.query('LWPOLYLINE[layer=="CUT"]')]
    assert len(cuts) == len(pieces)
    circles = [
        (np.array([e.dxf.center.x, e.dxf.center.y]), 2 * e.dxf.radius, e.dxf.layer) for e in space.query("CIRCLE")
    ]
    found = []
    placed = side_by_side(pieces) if len(pieces) > 1 else pieces
    for there, piece in zip(placed, pieces, strict=True):
        outline, shift = there.outline.points, there.outline.points - piece.outline.points
        low, high = outline.min(axis=0), outline.max(axis=0)
        assert any(np.abs([cut.min(axis=0) - low, cut.max(axis=0) - high]).max() < 0.1 for cut in cuts)
        own = [entry for entry in circles if (entry[0] > low).all() and (entry[0] < high).all()]
        found.append([(centre - shift[0], size, layer) for centre, size, layer in own])
    return found


def refined(flat, surface, *, times=2):
    """The flat panel's mesh with each face cut in four, `times` over: flat points, chart points and worn points, the
    last on the true surface, nearest to the middle of the edge that was cut, and faces."""
    panel = flat.panel

    def at(chart):
        return raised_points(surface, chart[:, 0], chart[:, 1], rises=panel.rises, beyond=panel.beyond)

    def beneath(points, chart):
        for _ in range(4):
            up, on = ((at(chart + step) - at(chart - step)) / 2e-4 for step in ([1e-4, 0.0], [0.0, 1e-4]))
            miss = points - at(chart)
            tangents = np.stack([up, on], axis=-1)
            normal = np.einsum("nik,nil->nkl", tangents, tangents)
            chart = chart + np.linalg.solve(normal, np.einsum("nik,ni->nk", tangents, miss)[..., None])[..., 0]
        return chart

    uv, faces = np.array(flat.uv), np.array(flat.panel.mesh.faces)
    chart = np.column_stack([flat.panel.heights, flat.panel.bearings])
    for _ in range(times):
        pairs = np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
        edges, number = np.unique(pairs, axis=0, return_inverse=True)
        ab, bc, ca = (number.ravel() + len(uv)).reshape(3, -1)
        a, b, c = faces.T
        middle = at(chart)[edges].mean(axis=1)
        uv, chart = (np.concatenate([own, own[edges].mean(axis=1)]) for own in (uv, chart))
        chart[-len(edges) :] = beneath(middle, chart[-len(edges) :])
        faces = np.concatenate([np.column_stack(row) for row in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))])
    return uv, chart, at(chart), faces


def on_limb(mesh, points):
    """Chart points and worn points of flat points (n,2): each face is asked whether it holds them."""
    uv, chart, worn, faces = mesh
    found = []
    for point in points:
        a, b, c = (uv[faces[:, k]] for k in range(3))
        area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
        second = ((point[0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (point[1] - a[:, 1]) * (c[:, 0] - a[:, 0])) / area
        third = ((b[:, 0] - a[:, 0]) * (point[1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (point[0] - a[:, 0])) / area
        shares = np.column_stack([1.0 - second - third, second, third])
        k = int(shares.min(axis=1).argmax())
        assert shares[k].min() > -1e-9
        found.append((shares[k] @ chart[faces[k]], shares[k] @ worn[faces[k]]))
    return (np.array(column) for column in zip(*found, strict=True))


def across_axes(laid, pieces, content, *, hand=1.0):
    """How far (mm) the holes of both layers lie apart across the rivets' axes, for each plate of a finished job, as the
    DXF has them, found again on finer meshes of both worn surfaces."""
    surface, shrunk = laid.neutral.surface, laid.panels[0].stretch.limits.shrinkage
    assert shrunk == (0.0, 0.0)
    panels = laid.all_panels
    names = [panel.flat.panel.name for panel in panels]
    drawn = drawn_holes(content, pieces)
    far = {}
    for held in laid.held:
        upper = names.index(held.part)
        lower = 0 if held.on == "base" else names.index(held.on)
        if held.on == "base":
            lower = next(k for k, added in enumerate(laid.added) if any(hole.part == held.part for hole in added.holes))
        of = [{(round(h.x, 4), round(h.y, 4)) for h in pieces[k].holes if h.seam == held.part} for k in (upper, lower)]
        points = [
            np.array([c for c, _, _ in drawn[k] if tuple(np.round(c, 4)) in own])
            for k, own in zip((upper, lower), of, strict=True)
        ]
        assert len(points[0]) == len(points[1]) == held.count
        (chart, above), (_, beneath) = (
            on_limb(refined(panels[k].flat, surface), own * np.array([hand, 1.0]))
            for k, own in zip((upper, lower), points, strict=True)
        )
        axes = raised_normals(surface, chart[:, 0], chart[:, 1], rises=panels[lower].flat.panel.rises)
        apart = beneath[None] - above[:, None]
        along = (apart * axes[:, None]).sum(axis=-1, keepdims=True) * axes[:, None]
        across = np.linalg.norm(apart - along, axis=-1)
        far[held.part] = across.min(axis=1)
    return far
