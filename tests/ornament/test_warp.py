"""How forming warps circles: by formula, and against lengths on the worn side."""

import numpy as np
import pytest
import shapely

from flatten.ornament.model import Field, OrnamentError, Region
from flatten.ornament.warp import warp_of
from tests.ornament.grain_sides import RADIUS, THICK, diameters, disc, face_on


def test_circles_become_the_ellipses_of_bend_and_shrinking():
    field = Field("p", Region.of(shapely.box(-60.0, 50.0, 60.0, 200.0)), np.array([[0.0, 50.0], [0.0, 200.0]]))
    bent = warp_of(face_on("cylinder", 4.0), field)
    grown = (RADIUS + THICK / 2) / RADIUS
    for circle in (bent.grows, *bent.circles):
        assert (circle.greatest, circle.least) == pytest.approx((grown, 1.0), abs=1e-3)
        # Widest round the limb, which is level on the piece.
        assert np.sin(circle.angle) == pytest.approx(0.0, abs=0.02)
        x, y = np.ptp(circle.outline, axis=0)
        assert (x, y) == pytest.approx((20.0 * grown, 20.0), abs=0.02)
    assert bent.change == pytest.approx(grown - 1.0, abs=1e-3)
    assert bent.across == pytest.approx((grown, grown), abs=1e-3)
    assert bent.along == pytest.approx((1.0, 1.0), abs=1e-3)
    assert len(bent.circles) == 12 or len(bent.circles) == 15
    shrunk = warp_of(face_on("cylinder", 4.0, lost=(0.1, 0.0)), field)
    assert shrunk.along == pytest.approx((0.9, 0.9), abs=1e-3)
    assert shrunk.change == pytest.approx(0.1, abs=1e-3)
    away = Field("p", Region.of(disc(900.0, 0.0)))
    with pytest.raises(OrnamentError, match="lies on none of the leather"):
        warp_of(face_on("cylinder", 4.0), away)


def test_an_ellipse_leans_as_the_leather_does_and_over_to_the_other_side_when_mirrored():
    field = Field("p", Region.of(shapely.box(-120.0, 50.0, 120.0, 200.0)))
    plain, turned = (warp_of(face_on("calf", 6.0, mirrored=mirrored), field) for mirrored in (False, True))
    assert plain.change == pytest.approx(turned.change, rel=1e-9)
    assert (plain.grows.x, plain.grows.angle) == pytest.approx((-turned.grows.x, np.pi - turned.grows.angle))
    # Carried to the worn side, points of the circle in that direction are that much further apart.
    face = face_on("calf", 6.0)
    circle = max(plain.circles, key=lambda c: (c.greatest / c.least - 1.0) * abs(np.sin(2.0 * c.angle)))
    assert abs(np.sin(2.0 * circle.angle)) * (circle.greatest / circle.least - 1.0) > 0.02
    way = np.array([np.cos(circle.angle), np.sin(circle.angle)])
    ends = np.array([circle.x, circle.y]) + np.outer([-6.0, 6.0], way)
    across = np.array([circle.x, circle.y]) + np.outer([-6.0, 6.0], [-way[1], way[0]])
    long, short = (diameters(face, each)[0] / 12.0 for each in (ends, across))
    assert (long, short) == pytest.approx((circle.greatest, circle.least), abs=0.01)
