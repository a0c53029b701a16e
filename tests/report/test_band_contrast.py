"""Bands of stretch and squeeze are told apart by whoever looks, by day and at night, and hatching is seen on each."""

from itertools import pairwise, product

import numpy as np
import pytest

from cli.page.palette import PAGE
from flatten.report.palette import REPORT
from flatten.report.ramp import bands
from tests.report.test_report_palette import luminance

VISIONS = {
    "most eyes": np.eye(3),
    "without red": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "without green": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "without blue": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}
"""How light (linear sRGB) is seen by eyes that lack a kind of cone (Machado, Oliveira, Fernandes, IEEE Transactions on
Visualization and Computer Graphics 15(6), 2009: their matrices for severity 1)."""

CONES = [
    [0.4122214708, 0.5363325363, 0.0514459929],
    [0.2119034982, 0.6806995451, 0.1073969566],
    [0.0883024619, 0.2817188376, 0.6299787005],
]
OPPONENT = [
    [0.2104542553, 0.7936177850, -0.0040720468],
    [1.9779984951, -2.4285922050, 0.4505937099],
    [0.0259040371, 0.7827717662, -0.8086757660],
]
"""OKLab (Ottosson, "A perceptual color space for image processing", 2020)."""

TOLD_APART = 0.06
"""Distance in OKLab. 0.02 is just seen (CSS Color Module Level 4, 13.2); bands are thrice as far apart."""

SEEN = 3.0
"""Contrast of graphics that are needed to understand (WCAG 2.2, 1.4.11)."""

LOOKS = [pytest.param(palette, look, id=f"{name}, {look}")
         for (name, palette), look in product((("report", REPORT), ("page", PAGE)), ("light", "dark"))]  # fmt: skip


def oklab(colour, vision="most eyes"):
    """A colour (3,) as lightness and two opponents, as it is seen."""
    shares = np.array(list(bytes.fromhex(colour[1:]))) / 255
    light = np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)
    return np.array(OPPONENT) @ np.cbrt(np.array(CONES) @ np.clip(np.array(VISIONS[vision]) @ light, 0.0, 1.0))


def distance(one, other, vision):
    return float(np.linalg.norm(oklab(one, vision) - oklab(other, vision)))


def contrast(one, other):
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("vision", VISIONS)
def test_white_and_greys_are_so_to_all_eyes(vision):
    np.testing.assert_allclose(oklab("#ffffff", vision), [1.0, 0.0, 0.0], atol=1e-3)
    np.testing.assert_allclose(oklab("#808080", vision)[1:], 0.0, atol=1e-3)


@pytest.mark.parametrize("vision", VISIONS)
@pytest.mark.parametrize(("palette", "look"), LOOKS)
def test_neighbouring_bands_are_told_apart(palette, look, vision):
    kinds = [band.kind for band in bands()]
    apart = {pair: distance(*(getattr(palette[kind], look) for kind in pair), vision) for pair in pairwise(kinds)}
    assert {pair: found for pair, found in apart.items() if found < TOLD_APART} == {}


@pytest.mark.parametrize("vision", VISIONS)
@pytest.mark.parametrize(("palette", "look"), LOOKS)
def test_no_band_of_stretch_looks_as_one_of_squeeze(palette, look, vision):
    kinds = [band.kind for band in bands()]
    stretched, squeezed = ([kind for kind in kinds if kind[0] == letter and kind != "even"] for letter in "sq")
    apart = {
        pair: distance(*(getattr(palette[kind], look) for kind in pair), vision)
        for pair in product(stretched, squeezed)
    }
    assert {pair: found for pair, found in apart.items() if found < TOLD_APART} == {}


@pytest.mark.parametrize(("palette", "look"), LOOKS)
def test_hatching_is_seen_on_every_band(palette, look):
    hatch, rim = (getattr(palette[name], look) for name in ("hatch", "hatch-rim"))
    best = {
        band.kind: max(contrast(getattr(palette[band.kind], look), line) for line in (hatch, rim)) for band in bands()
    }
    assert {kind: found for kind, found in best.items() if found < SEEN} == {}
    # The line and its rim are seen on one another wherever the band is.
    assert contrast(hatch, rim) >= 2 * SEEN
