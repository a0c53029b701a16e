"""The picture of a scan and the card for measuring: what they show, read back by other programs."""

import dataclasses
import io
import shutil
import subprocess

import numpy as np
import pytest
from PIL import Image

from flatten.limb.girths.girth import girth_table
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb
from flatten.limb.surface.fit import fit_surface
from flatten.limb.surface.model import Bridge
from flatten.limb.surface.noise import Modes
from flatten.report.card import ASKED, measuring_card, smooth_outline
from flatten.report.messages import HALF_KEPT
from flatten.report.palette import CLOTH, LEFT_OUT
from flatten.report.scanpicture import _View, bridge_messages, scan_picture
from flatten.scan.model import Scan
from flatten.sheet.paper import HOME
from flatten.words.say import texts
from tests.limbs import calf


def shin(*, hole=None, dropped=None, side="left"):
    """An analytic shin as a cloud, its limb and its fitted skin; a hole of that radius at the back, 200 mm up."""
    index = np.arange(20_000)
    heights, bearings = -20.0 + (index + 0.5) / 20_000 * 400.0, 2 * np.pi * np.mod(index * 0.6180339887, 1.0)
    radius = calf(heights, bearings)
    points = np.column_stack([radius * np.cos(bearings), radius * np.sin(bearings), heights])
    if hole:
        middle = np.array([-calf(np.array([200.0]), np.array([np.pi]))[0], 0.0, 200.0])
        points = points[np.linalg.norm(points - middle, axis=1) > hole]
    frame = Frame(np.zeros(3), np.diag([1.0, 1.0 if side == "left" else -1.0, 1.0]))
    limb = Limb(LOWER_LEG, side, frame, (Landmark("ankle", 0.0), Landmark("widest", 245.0)), "given")
    cloud = frame.to_scan(points)
    scan = Scan("shin.xyz", cloud, np.zeros_like(cloud), np.empty((0, 3), np.int64), "mm", "given", 1.0, 0, (),
                np.empty((0, 3)) if dropped is None else dropped)  # fmt: skip
    return scan, limb, fit_surface(points, heights=(-20.0, 380.0))


def near(pixels, colour):
    """Pixels of about a colour."""
    wanted = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)])
    return int((np.abs(pixels[..., :3].astype(int) - wanted).max(axis=-1) < 24).sum())


def drawn(scan, limb, skin):
    return np.array(Image.open(io.BytesIO(scan_picture(scan, limb, skin, girths=girth_table(limb, skin)))))


def test_bridged_places_and_what_was_left_out_are_drawn_only_where_they_are():
    whole = drawn(*shin())
    holed = drawn(*shin(hole=25.0))
    floor = np.column_stack([*np.random.default_rng(1).uniform(-100, 100, (2, 3000)), np.full(3000, -40.0)])
    floored = drawn(*shin(dropped=floor))
    # The legend's own patch is the rest of the colour; a disc of 50 mm is thousands of pixels.
    bridged = "#e1a97f"
    assert near(holed, bridged) > 1000 > 10 * near(whole, bridged)
    assert near(floored, LEFT_OUT) > 1000 > 10 * near(whole, LEFT_OUT)


def rows_of(pixels, colour):
    """The lowest and the highest row of the picture that lines of a colour cross, above the legend."""
    wanted = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)])
    crossed = (np.abs(pixels[:-150, :, :3].astype(int) - wanted).max(axis=-1) < 24).sum(axis=1) > 50
    return np.flatnonzero(crossed)[[-1, 0]]


def test_edges_of_cloth_are_drawn_across_the_limb_at_their_heights():
    scan, limb, skin = shin()
    bare, one, other = (
        drawn(scan, dataclasses.replace(limb, cloth_edges=rims), skin) for rims in ((), (100.0, 220.0), (100.0, 340.0))
    )
    assert near(one, CLOTH) > 300 > 10 * near(bare, CLOTH)
    low, high = rows_of(one, CLOTH)
    # As the heights are: 240 mm apart twice as far as 120 mm, to a pixel for each line's own width.
    assert rows_of(other, CLOTH)[0] == low
    assert low - rows_of(other, CLOTH)[1] == pytest.approx(2 * (low - high), abs=6)
    assert low - high > 100


def test_a_bridge_on_a_limb_with_cloth_is_where_no_skin_shows():
    _, limb, skin = shin(hole=25.0)
    (sentence,) = texts(bridge_messages(dataclasses.replace(limb, cloth_edges=(190.0, 215.0)), skin))
    assert sentence.startswith("The scan shows no skin ")


def test_the_same_scan_gives_the_same_picture():
    scan, limb, skin = shin()
    table = girth_table(limb, skin)
    first, again = (scan_picture(scan, limb, skin, girths=table) for _ in range(2))
    assert first == again
    assert b"Software" not in first


@pytest.mark.parametrize(("side", "hand"), [("left", 1.0), ("right", -1.0)])
def test_a_view_shows_the_wearers_true_side(side, hand):
    # A left leg from the front: its outside, bearing 90°, is on the right of who looks; a right leg's on the left.
    view = _View(0.0, hand)
    outside = view.seen(np.array([[0.0, 50.0, 100.0]]))
    assert np.sign(outside[0, 0]) == hand
    # From its own outside the front of a left leg is at the left.
    assert np.sign(_View(np.pi / 2, hand).seen(np.array([[50.0, 0.0, 100.0]]))[0, 0]) == -hand


def test_bridges_are_told_by_place_and_size():
    _, limb, skin = shin(hole=25.0)
    (sentence,) = texts(bridge_messages(limb, skin))
    assert sentence.startswith("The scan shows nothing ")
    assert "at the back" in sentence
    assert "mm above the ankle: the limb is bridged, and " in sentence
    assert bridge_messages(*shin()[1:]) == []


@pytest.mark.parametrize(
    ("likely", "words"),
    [
        (0.83, "may be off there by about 0.8 mm, in 1 of 20 such places by more than 2.0 mm."),
        (0.04, "is hardly anywhere off there by more than 0.1 mm."),
    ],
)
def test_how_far_a_bridge_may_be_off_is_told_once(likely, words):
    limb, skin = shin()[1:]
    bridge = Bridge(200.0, np.pi, 40.0, 2.4 * likely, likely)
    (sentence,) = texts(bridge_messages(limb, dataclasses.replace(skin, bridges=(bridge,))))
    assert sentence == (
        f"The scan shows nothing 40 mm wide at the back, 200 mm above the ankle: the limb is bridged, and {words}"
    )


@pytest.mark.parametrize("paper", HOME)
def test_the_card_is_one_page_that_asks_for_the_girths_of_every_limb(paper, tmp_path):
    data = measuring_card(paper=paper)
    assert data == measuring_card(paper=paper)
    (tmp_path / "card.pdf").write_bytes(data)
    if shutil.which("pdftotext") is None:
        pytest.skip("poppler is not installed")
    call = ["pdftotext", "-raw", tmp_path / "card.pdf", "-"]
    told = subprocess.run(call, capture_output=True, text=True, check=True)
    assert told.stdout.count("\f") == 1
    text = " ".join(told.stdout.split())
    for number, (name, where) in enumerate((texts(entry) for entry in ASKED), 1):
        # In its line, and at its tape in a drawing.
        assert f"{number} {name} {where} mm" in text
        assert told.stdout.splitlines().count(str(number)) == 1
    for words in ("both feet loaded alike", "thumb up", "left or right", "send it only to whom you trust"):
        assert words in text


def test_an_outline_passes_through_its_points_and_closes():
    points = np.array([[0.0, 0.0], [40.0, 5.0], [30.0, 40.0], [-5.0, 30.0]])
    curve = smooth_outline(points)
    np.testing.assert_allclose(curve[0], curve[-1], atol=1e-9)
    assert np.linalg.norm(curve[:, None] - points, axis=2).min(axis=0).max() < 1.0


def test_the_wavelength_that_is_said_to_go_is_half_kept():
    # One wave along a limb of half its length, at the smoothing that the sentence names it by.
    kept = Modes(HALF_KEPT / 2, 1e9, (2, 1)).kept(1.0)
    assert kept == pytest.approx([1.0, 0.5], abs=1e-3)
