"""Skived overlaps: how far each layer's neutral line lies off the surface, against profiles written out anew."""

import igl
import numpy as np
import pytest
from scipy.integrate import quad

from flatten.worn.curves import Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import edge
from flatten.worn.panel import SeamCutError
from tests.limbs import cylinder

ENDS = {"bottom": edge("bottom edge", (0.0,) * 4), "top": edge("top edge", (50.0,) * 4)}
RADIUS, THICK, OVERLAP = 60.0, 3.2, 22.0


def riveted(bearing, name, *, upper, skived):
    return Seam(name, "riveted", 0.0, [0.0], [bearing], OVERLAP, upper, skived)


def cut(upper, *, left, neutral=0.5, size=2.0):
    """The panels about the front and the back, parted at both sides; `upper` is that at the outside and the inside."""
    seams = [
        riveted(b, n, upper=u, skived=left) for b, n, u in zip((0.5 * np.pi, 1.5 * np.pi), "ab", upper, strict=True)
    ]
    surface = cylinder(RADIUS)
    panels = cut_panels(surface, Cuts(seams=seams, **ENDS), edge_length=size, thickness=THICK, neutral=neutral)
    return {panel.name: panel for panel in panels}


def off(panel):
    """mm (V,) that a panel's vertices lie off the cylinder, and mm along it from the outside's seam."""
    turn = np.mod(panel.bearings + 0.5 * np.pi, 2 * np.pi) - np.pi
    return np.hypot(*panel.mesh.vertices[:, :2].T) - RADIUS, RADIUS * turn


@pytest.mark.parametrize("neutral", [0.4, 0.5])
@pytest.mark.parametrize("left", [0.8, 1.6, 2.6])
def test_layers_fill_the_thickness_that_the_other_has_lost(left, neutral):
    """Over the overlap the two are t + left thick: the lower one's top is the upper one's underside, place by place.

    From the neutral lines alone: a layer of thickness d has its faces `neutral`·d beneath and the rest above its line.
    """
    panels = cut(("before", "after"), left=left, neutral=neutral)
    (over, x), (under, y) = off(panels["front"]), off(panels["back"])
    share = (x + 0.5 * OVERLAP) / OVERLAP
    here = np.flatnonzero((share >= -1e-9) & (share <= 1.0 + 1e-9))
    own = THICK - (THICK - left) * share[here]
    beneath = neutral * THICK + over[here] - neutral * own
    share = (y + 0.5 * OVERLAP) / OVERLAP
    there = np.flatnonzero((share >= -1e-9) & (share <= 1.0))
    lower = left + (THICK - left) * share[there]
    top = neutral * THICK + under[there] + (1.0 - neutral) * lower
    order = np.argsort(y[there])
    met = np.interp(x[here], y[there][order], top[order])
    # Profiles are straight, so that interpolation adds rounding alone; the lower one's last sample is not at its line.
    inside = x[here] <= y[there].max()
    assert inside.sum() > 100
    np.testing.assert_allclose(beneath[inside], met[inside], atol=1e-6)
    np.testing.assert_allclose(beneath + own, THICK + left, atol=1e-6)
    # The lower layer still lies on the limb with its inner face.
    np.testing.assert_allclose(neutral * THICK + under[there] - neutral * lower, 0.0, atol=1e-6)


@pytest.mark.parametrize("left", [0.8, 1.6])
def test_the_step_is_as_wide_as_its_bend_wants_and_has_no_kink(left):
    (over, x) = off(cut(("before", "after"), left=left, size=0.8)["front"])
    width = 5.0 * np.sqrt(THICK * left)
    start = -0.5 * OVERLAP - width
    flat = x < start
    np.testing.assert_allclose(over[flat & (x > -0.4 * np.pi * RADIUS)], 0.0, atol=1e-9)
    near = np.flatnonzero(np.abs(x + 0.5 * OVERLAP) < 2.0)
    fit = [
        np.polyfit(x[near][side], over[near][side], 2) for side in (x[near] < -0.5 * OVERLAP, x[near] >= -0.5 * OVERLAP)
    ]
    slopes = [np.polyval(np.polyder(own), -0.5 * OVERLAP) for own in fit]
    # (1 − n)(t − left) over the overlap; a kinked step would come up level there.
    assert slopes[1] == pytest.approx(0.5 * (THICK - left) / OVERLAP, abs=1e-4)
    assert slopes[0] == pytest.approx(slopes[1], abs=0.01)


def length_of_upper(left):
    """Section of a piece whose two ends lie on top, skived: half the cylinder, and at each end overlap and step."""
    width, gain = 5.0 * np.sqrt(THICK * left), 0.5 * (THICK - left)

    def step(u):
        rise = left * (3 * u**2 - 2 * u**3) + gain * width / OVERLAP * (u**3 - u**2)
        slope = (left * (6 * u - 6 * u**2) + gain * width / OVERLAP * (3 * u**2 - 2 * u)) / width
        return width * np.hypot((RADIUS + rise) / RADIUS, slope)

    def lap(u):
        return OVERLAP * np.hypot((RADIUS + left + gain * u) / RADIUS, gain / OVERLAP)

    ends = quad(step, 0.0, 1.0)[0] - width + quad(lap, 0.0, 1.0)[0] - 0.5 * OVERLAP
    return np.pi * RADIUS + 2.0 * ends


@pytest.mark.parametrize("left", [0.8, 1.6])
def test_girth_of_both_pieces_of_a_cylinder_in_closed_form(left):
    panels = cut(("before", "after"), left=left)
    widths = {n: 0.5 * igl.doublearea(p.mesh.vertices, p.mesh.faces).sum() / 50.0 for n, p in panels.items()}
    loss = 0.5 * (THICK - left)
    lap = OVERLAP * np.hypot((RADIUS - 0.5 * loss) / RADIUS, loss / OVERLAP)
    # Chords of 2 mm: (2/60)²/24 of 210 mm is 0.01 mm, and of the step 0.02 mm.
    assert widths["back"] == pytest.approx(np.pi * RADIUS - OVERLAP + 2.0 * lap, abs=0.03)
    assert widths["front"] == pytest.approx(length_of_upper(left), abs=0.04)


def test_a_seam_is_skived_only_where_it_overlaps_and_to_less_than_its_leather():
    with pytest.raises(SeamCutError, match="nothing to skive"):
        Seam("back", "laced", 25.0, [0.0], [np.pi], skived=1.6)
    with pytest.raises(SeamCutError, match=r"'a' is skived to 3.2 mm, and its leather is only 3.2 mm thick"):
        cut(("before", "after"), left=THICK)
