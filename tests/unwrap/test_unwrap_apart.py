"""Flat pieces that lie over themselves, pushed apart where the leather's limits allow it."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from unwrap_shapes import face_stretches, flat_signs, jittered

from flatten.mesh.disk import check_disk
from flatten.mesh.surface import Mesh
from flatten.unwrap.apart import PARTED, Contacts, overlaps_undone
from flatten.unwrap.model import Limits
from flatten.unwrap.panel import flatten_panel
from flatten.worn.panel import Boundary, Panel

CASED = Limits(0.05, 0.05, 0.03, 0.03, "cased")


def ring(degrees, *, inner=60.0, outer=100.0, taper=0.0, turns=2.0):
    """A cone's side that winds `turns` times round its axis: it develops to a ring sector of so many degrees.

    With a taper (mm) the ring's outer rim winds inwards from one end to the other.
    """
    columns, rows = 120, 10
    x, y, faces = jittered(columns, rows, seed=1)
    turn = np.radians(degrees) * (x - 0.5)
    radius = inner + (outer - inner - taper * x) * y
    sine = np.radians(degrees) / (2 * np.pi * turns)
    bearing = turn / sine
    points = np.stack(
        [radius * sine * np.cos(bearing), radius * sine * np.sin(bearing), radius * np.sqrt(1 - sine**2)], axis=1
    )
    index = np.arange((columns + 1) * (rows + 1)).reshape(rows + 1, columns + 1)
    boundaries = (
        Boundary("bottom edge", "edge", "", index[0]),
        Boundary("back", "laced", "high", index[:, -1]),
        Boundary("top edge", "edge", "", index[-1, ::-1]),
        Boundary("back", "laced", "low", index[::-1, 0]),
    )
    return Panel("ring", Mesh(points, faces), radius, turn, boundaries)


def outline(flat):
    return shapely.Polygon(flat.uv[check_disk(flat.panel.mesh)])


@pytest.mark.parametrize("degrees", [362.0, 370.0])
def test_a_horseshoe_that_laps_over_itself_a_little_is_opened(degrees):
    flat = flatten_panel(ring(degrees), limits=CASED)
    assert flat.overlaps > 0
    (parted,) = overlaps_undone([flat], limits=CASED, insets={})
    assert parted.overlaps == 0
    assert parted.converged
    assert outline(parted).is_valid
    ends = [shapely.LineString(parted.uv[b.vertices]) for b in parted.panel.boundaries if b.name == "back"]
    # A contact missed by 0.2 mm (SEAM_MATCH) weighs as much as half the distortion: no more is left of any.
    assert PARTED - 0.2 <= ends[0].distance(ends[1]) <= PARTED + 2.0
    stretches = face_stretches(parted.panel.mesh, parted.uv)
    assert stretches.max() <= 1.05
    assert stretches.min() >= 0.97
    assert flat_signs(parted.panel.mesh, parted.uv).min() > 0
    # To bend a ring of 60 to 100 mm open by d of a turn takes d · 20/80 of stretch along its rims.
    least = (degrees - 360.0) / 360.0 * 20.0 / 80.0
    assert least <= stretches.max() - 1.0 <= 4 * least + 0.005


def test_a_strip_of_a_turn_and_a_half_stays_as_it_is():
    flat = flatten_panel(ring(540.0, taper=25.0), limits=CASED)
    assert flat.overlaps > 0
    assert overlaps_undone([flat], limits=CASED, insets={}) == (flat,)


def test_a_piece_that_lies_clear_does_not_move():
    flat = flatten_panel(ring(340.0), limits=CASED)
    assert overlaps_undone([flat], limits=CASED, insets={}) == (flat,)


def test_the_sides_of_a_dart_are_left_to_say_so_themselves():
    flat = flatten_panel(ring(362.0), limits=CASED)
    boundaries = tuple(replace(b, kind="dart") if b.name == "back" else b for b in flat.panel.boundaries)
    dart = replace(flat, panel=replace(flat.panel, boundaries=boundaries))
    assert overlaps_undone([dart], limits=CASED, insets={}) == (dart,)


def test_the_jacobians_are_the_derivatives_of_what_the_vertices_lack():
    rng = np.random.default_rng(2)
    flat, move = (rng.normal(size=12) + 1j * rng.normal(size=12) for _ in range(2))
    contacts = Contacts(0, np.arange(0, 4), np.arange(4, 8), np.arange(8, 12))
    step = 1e-6
    ahead, behind = (contacts.residuals([flat + s * move]) for s in (step, -step))
    (rows,) = contacts.jacobians([flat])
    assert (contacts.residuals([flat]) > 0).any()
    np.testing.assert_allclose((ahead - behind) / (2 * step), (rows.conj().T @ move).real, atol=1e-7)
