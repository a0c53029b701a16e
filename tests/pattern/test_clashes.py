"""What lies on a label is told, and the box of a label covers what fonts really draw."""

import dataclasses
import io
import unicodedata
from pathlib import Path as File

import matplotlib
import numpy as np
import pytest
from ezdxf.addons import text2path
from ezdxf.filemanagement import read
from ezdxf.path import bbox
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from reportlab.pdfbase.pdfmetrics import stringWidth

from flatten.drawing.compose import drawing_of
from flatten.drawing.dxf import dxf_bytes
from flatten.drawing.ink import CAPITAL as PRINTED
from flatten.drawing.svg import CAPITAL as SHOWN
from flatten.pattern.clashes import clashes
from flatten.pattern.lettering import text_box, text_width
from flatten.pattern.model import Hole, Label, Mark, Path, Piece
from flatten.pattern.path import segment

FONTS = {
    "DejaVu Sans": File(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf",
    "Liberation Sans": File("/usr/share/fonts/truetype/liberation/LiberationSans-Regular.ttf"),
}
ASCII = "".join(map(chr, range(32, 127)))
LATIN = "".join(c for c in map(chr, [*range(161, 384), *range(0x1E00, 0x1F00)]) if unicodedata.category(c)[0] in "LNP")
GREEK_AND_CYRILLIC = "".join(
    c for c in map(chr, [*range(0x388, 0x3CF), *range(0x400, 0x482)]) if unicodedata.category(c)[0] == "L"
)
TEXTS = [ASCII, LATIN, GREEK_AND_CYRILLIC, "TOP, towards the knee", "Jj|{_Wm@", "LEFT, grain side up", "ÅÇ Ẳ ý", "B150"]


def plate(*, labels=(), marks=(), holes=()):
    """A plate of 100 by 60 mm."""
    outline = Path(np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 60.0], [0.0, 60.0]]), np.zeros(4), closed=True)
    return Piece("plate", "left", outline, tuple(holes), tuple(marks), tuple(labels), 3.2)


LABEL = Label(20.0, 30.0, 5.0, 0.0, "TOP")


def ink(text, font, size):
    """Least x, least y, greatest x, greatest y of a text's glyphs in a font of a size; None where it has not all."""
    names, advances, glyphs = font.getBestCmap(), font["hmtx"], font.getGlyphSet()
    if any(ord(c) not in names for c in text):
        return None
    at, boxes = 0.0, []
    for c in text:
        pen = BoundsPen(glyphs)
        glyphs[names[ord(c)]].draw(pen)
        if pen.bounds:
            boxes.append(np.add(pen.bounds, (at, 0.0, at, 0.0)))
        at += advances[names[ord(c)]][0]
    scale = size / font["head"].unitsPerEm
    low, high = np.array(boxes)[:, :2].min(axis=0), np.array(boxes)[:, 2:].max(axis=0)
    return np.r_[low, high] * scale


@pytest.mark.parametrize("capital", [PRINTED, SHOWN], ids=["pdf", "svg"])
@pytest.mark.parametrize("face", FONTS)
@pytest.mark.parametrize("text", TEXTS, ids=lambda text: text[:12])
def test_the_box_covers_the_ink_of_common_fonts(text, face, capital):
    if not FONTS[face].exists():
        pytest.skip("that font is not on this machine")
    if face == "Liberation Sans" and capital == PRINTED:
        pytest.skip("what is printed has its font in it, DejaVu Sans")
    font, (x0, y0), (x1, y1) = TTFont(FONTS[face]), *text_box(Label(0.0, 0.0, 5.0, 0.0, text))[[0, 2]]
    for part in (text, *text):
        drawn = ink(part, font, 5.0 / capital) if part.strip() else None
        if drawn is not None:
            right = text_box(Label(0.0, 0.0, 5.0, 0.0, part))[2][0]
            assert x0 <= drawn[0], part
            assert y0 <= drawn[1], part
            assert drawn[2] <= min(x1, right), part
            assert drawn[3] <= y1, part


@pytest.mark.parametrize("text", [ASCII, "TOP, towards the knee", "shin guard, outside"])
def test_the_width_covers_helvetica_s_and_is_not_far_above_it(text):
    # Helvetica's widths are published with every PDF library; its capitals are 718 thousandths.
    real = stringWidth(text, "Helvetica", 5.0 / 0.718)
    assert real <= text_width(text, 5.0) <= 1.35 * real


def test_the_box_covers_what_a_dxf_viewer_draws():
    labels = [Label(10.0, 40.0 * i, 5.0, angle, text) for i, text in enumerate(TEXTS[3:]) for angle in (0.0, 0.7)]
    piece = dataclasses.replace(plate(), labels=tuple(labels))
    drawing = read(io.StringIO(dxf_bytes(drawing_of([piece], "")).decode()))
    by_place = {(round(label.x, 6), round(label.y, 6), round(np.degrees(label.angle), 3)): label for label in labels}
    seen = 0
    for entity in drawing.modelspace().query("TEXT"):
        key = (round(entity.dxf.insert.x, 6), round(entity.dxf.insert.y, 6), round(entity.dxf.rotation, 3))
        label = by_place.get(key)
        if label is None:
            continue
        corners = text_box(label)
        across, up = corners[1] - corners[0], corners[3] - corners[0]
        for path in text2path.make_paths_from_entity(entity):
            if not len(path):
                continue
            points = np.array([(p.x, p.y) for p in path.flattening(0.02)]) - corners[0]
            for edge in (across, up):
                share = points @ edge / (edge @ edge)
                assert share.min() >= 0.0, label.text
                assert share.max() <= 1.0, label.text
        seen += 1
    assert seen == len(labels)
    assert bbox(text2path.make_paths_from_entity(drawing.modelspace().query("TEXT").first)).size.x > 10.0


def test_a_label_with_room_of_its_own_clashes_with_nothing():
    line, hole = Mark("girth ring", segment((5.0, 45.0), (95.0, 45.0))), Hole(60.0, 32.0, 5.0, "eyelet", "back", "low")
    assert clashes(plate(labels=[LABEL, Label(20.0, 15.0, 5.0, 0.0, "grain")], marks=[line], holes=[hole])) == ()


@pytest.mark.parametrize(
    ("what", "more"),
    [
        ("a hole", {"holes": [Hole(25.0, 30.0, 3.0, "rivet", "back", "low")]}),
        ("a hole", {"holes": [Hole(40.0, 40.0, 4.0, "slot", "back", "low", 30.0, np.pi / 4)]}),
        ("girth ring", {"marks": [Mark("girth ring", segment((0.0, 34.0), (90.0, 34.0)))]}),
        ("notch", {"marks": [Mark("notch", segment((35.5, 30.0), (35.5, 40.0)))]}),
        ("grain", {"labels": [LABEL, Label(30.0, 33.0, 5.0, 1.0, "grain")]}),
        ("the cut line", {"labels": [Label(92.0, 30.0, 5.0, 0.0, "TOP")]}),
        ("the cut line", {"labels": [Label(20.0, 55.0, 5.0, 0.0, "TOP")]}),
        ("the cut line", {"labels": [Label(20.0, 1.0, 5.0, 0.0, "TOP")]}),
    ],
)
def test_a_label_on_something_is_told(what, more):
    found = clashes(plate(**{"labels": [LABEL], **more}))
    assert {what, "TOP"} <= {word for clash in found for word in (clash.text, clash.what)}
    assert all(-1.0 <= clash.x <= 115.0 and -1.0 <= clash.y <= 65.0 for clash in found)
