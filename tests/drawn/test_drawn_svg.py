"""SVG as it may be written: units, view boxes, transforms, symbols, styles; and files made to choke on."""

import math
import re
import time

import numpy as np
import pytest
import shapely

from flatten.drawn.model import DrawnError
from flatten.drawn.read import drawn_file

PAGE = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
FINE = 0.02


def read(tmp_path, body, *, size=PAGE, unit="auto", head="", layers=()):
    path = tmp_path / "a.svg"
    path.write_text(
        f'<?xml version="1.0"?>{head}<svg xmlns="http://www.w3.org/2000/svg" '
        f'xmlns:xlink="http://www.w3.org/1999/xlink" {size}>{body}</svg>'
    )
    return drawn_file(path, what="the drawing", fine=FINE, unit=unit, layers=layers)


def box(file):
    points = np.concatenate([line.points for line in file.lines])
    return [*points.min(axis=0), *points.max(axis=0)]


LINE = '<line x1="10" y1="20" x2="60" y2="70" stroke="black"/>'


@pytest.mark.parametrize(
    ("size", "scale"),
    [
        ('width="200mm" height="100mm" viewBox="0 0 200 100"', 1.0),
        ('width="200mm" viewBox="0 0 200 100"', 1.0),
        ('width="20cm" height="10cm" viewBox="0 0 100 50"', 2.0),
        ('width="2in" height="1in" viewBox="0 0 200 100"', 0.254),
        ('width="72pt" height="36pt" viewBox="0 0 100 50"', 0.254),
        ('width="6pc" height="3pc" viewBox="0 0 100 50"', 0.254),
        ('width="400q" height="200q" viewBox="0 0 100 50"', 1.0),
        ('width="96px" height="96px"', 25.4 / 96),
        ('width="192px" height="96px" viewBox="0 0 96 48"', 25.4 / 48),
        # The page is wider than the drawing: it is laid in its middle, or drawn out where that is asked for.
        ('width="300mm" height="100mm" viewBox="0 0 100 100"', 1.0),
        ('width="300mm" height="100mm" viewBox="0 0 100 100" preserveAspectRatio="xMinYMax slice"', 3.0),
    ],
)
def test_every_unit_of_a_page_gives_true_size(tmp_path, size, scale):
    found = read(tmp_path, LINE, size=size)
    assert box(found) == pytest.approx([10 * scale, -70 * scale, 60 * scale, -20 * scale], abs=1e-9)
    assert (found.unit == "px") == ("px" in size)


def test_a_page_that_is_drawn_out_draws_out_its_lines(tmp_path):
    found = read(tmp_path, LINE, size='width="300mm" height="100mm" viewBox="0 0 100 50" preserveAspectRatio="none"')
    assert box(found) == pytest.approx([30, -140, 180, -40])


@pytest.mark.parametrize("size", ["", 'viewBox="0 0 10 10"', 'width="100%" viewBox="0 0 5 5"', 'width="5" height="5"'])
def test_a_page_without_a_unit_is_asked_about(tmp_path, size):
    with pytest.raises(DrawnError, match=r"a\.svg does not say its unit.*for the drawing"):
        read(tmp_path, LINE, size=size)
    assert box(read(tmp_path, LINE, size=size, unit="cm")) == pytest.approx([100, -700, 600, -200])
    assert box(read(tmp_path, LINE, size=size, unit="px")) == pytest.approx(np.array([10, -70, 60, -20]) * 25.4 / 96)


def test_transforms_nest_from_the_outside_in(tmp_path):
    body = f"""<g transform="translate(100, 10)"><g transform="rotate(90) scale(2,-1)"><g transform="skewX(45)
    matrix(1 0 0 1 3 4)">{LINE}</g></g></g>"""
    # (10, 20) → (13, 24) → skewed (37, 24) → (74, −24) → turned (24, 74) → (124, 84); (60, 70) → (63, 74) → (137, 74)
    # → (274, −74) → (74, 274) → (174, 284).
    ((x0, y0), (x1, y1)) = read(tmp_path, body).lines[0].points
    assert (x0, y0, x1, y1) == pytest.approx((124, -84, 174, -284))


def test_symbols_nested_pages_and_uses_of_uses(tmp_path):
    body = """<defs><symbol id="s" viewBox="0 0 10 10" preserveAspectRatio="xMaxYMin"><circle cx="5" cy="5" r="5"
    stroke="black"/></symbol><g id="g"><use xlink:href="#s" width="40" height="20"/></g></defs>
    <use href="#g" x="100" y="50"/><svg x="10" y="10" width="20" height="10" viewBox="0 0 2 1">
    <rect width="50%" height="100%" stroke="red"/></svg>"""
    circle, square = read(tmp_path, body).lines
    # 20 across, to the right in 40.
    assert [*circle.points.min(axis=0), *circle.points.max(axis=0)] == pytest.approx([120, -70, 140, -50], abs=FINE)
    assert [*square.points.min(axis=0), *square.points.max(axis=0)] == pytest.approx([10, -20, 20, -10])


def test_arcs_and_relative_curves_are_within_their_chords(tmp_path):
    body = """<path fill="none" stroke="#000" d="m50 50 a40 20 30 1 1 1 0 z"/>
    <path stroke="#000" d="M0 0q10,20 20,0t20,0 20 0"/><ellipse cx="50" cy="50" rx="40" ry="10" stroke="#000"/>
    <rect x="10" y="10" width="40" height="20" rx="5" stroke="#000"/>"""
    arc, waves, ellipse, rounded = read(tmp_path, body).lines
    turned = arc.points * (1, -1) - (50.5, 50)
    # A full turn but for a chord of 1: its points lie on one ellipse of 40 and 20, at some middle.
    cos, sin = math.cos(math.radians(30)), math.sin(math.radians(30))
    along, across = turned @ [cos, sin], turned @ [-sin, cos]
    unknown = np.linalg.lstsq(np.column_stack([along, across, np.ones(len(turned))]),
                              (along / 40) ** 2 + (across / 20) ** 2, rcond=None)[0]  # fmt: skip
    left = np.column_stack([along, across, np.ones(len(turned))]) @ unknown - (along / 40) ** 2 - (across / 20) ** 2
    assert np.abs(left).max() < 1e-9
    # Three humps by turns, each of area 2/3 · 20 · 10.
    assert shapely.make_valid(shapely.Polygon(waves.points)).area == pytest.approx(400, rel=0.004)
    assert waves.points[:, 1].min() == pytest.approx(-10, abs=FINE)
    assert waves.points[:, 1].max() == pytest.approx(10, abs=FINE)
    assert shapely.Polygon(ellipse.points).area == pytest.approx(400 * math.pi, rel=0.002)
    assert shapely.Polygon(rounded.points).area == pytest.approx(800 - 100 + 25 * math.pi, rel=1e-3)
    assert [line.closed for line in (arc, waves, ellipse, rounded)] == [True, False, True, True]


def test_chords_are_as_fine_as_told_after_scaling(tmp_path):
    body = '<g transform="scale(40)"><circle cx="1" cy="1" r="1" stroke="#000"/></g>'
    ring = read(tmp_path, body).lines[0].points
    middles = (ring + np.roll(ring, -1, axis=0)) / 2
    sagitta = 40 - np.hypot(*(middles - (40, -40)).T)
    assert 0.5 * FINE < sagitta.max() <= FINE * (1 + 1e-9)


@pytest.mark.parametrize(
    "hidden",
    [
        '<g style="display:none">{}</g>',
        '<g display="none">{}</g>',
        '<g visibility="hidden">{}</g>',
        '<g opacity="0">{}</g>',
        "<style>.st0{{display:none;}}</style><g class='a st0'>{}</g>",
        "<style>/* a */ #off, g.off {{ display: none !important }}</style><g id='off'>{}</g>",
        "<defs>{}</defs>",
        "<clipPath id='c'>{}</clipPath>",
        '<line x2="9" y2="9" stroke="none" fill="none"/>',
    ],
)
def test_what_is_not_seen_is_not_read(tmp_path, hidden):
    shown = '<line x1="10" y1="20" x2="60" y2="70" style="stroke:#123"/>'
    assert len(read(tmp_path, shown + hidden.format(LINE)).lines) == 1


def test_a_child_may_be_seen_in_a_hidden_group(tmp_path):
    body = f'<g visibility="hidden">{LINE}<g visibility="visible">{LINE}</g></g>'
    assert len(read(tmp_path, body).lines) == 1


def test_what_is_no_line_is_counted(tmp_path):
    body = f'{LINE}<text>a</text><text>b<tspan>c</tspan></text><image width="5" height="5" href="x.png"/>'
    body += f'<g mask="url(#m)">{LINE}</g>'
    assert read(tmp_path, body).left_out == (("text", 2), ("image", 1), ("clip", 1))


def test_a_named_layer_holds_for_all_within_it(tmp_path):
    body = f'<g id="frame 1"><g id="inner">{LINE}</g></g><g id="other">{LINE}</g>'
    assert [line.layer for line in read(tmp_path, body, layers=("FRAME",)).lines] == ["FRAME 1", "OTHER"]


BOMB = '<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'
SELF = '<g id="g">{}<use href="#g"/></g>'
DOUBLING = "".join(f'<g id="u{k + 1}"><use href="#u{k}"/><use href="#u{k}"/></g>' for k in range(20))


@pytest.mark.parametrize(
    ("body", "head", "words"),
    [
        (LINE, BOMB, "declares entities"),
        (SELF.format(LINE), "", "more than 60 deep"),
        ("<g>" * 100 + LINE + "</g>" * 100, "", "more than 60 deep"),
        (f'<g id="u0">{LINE}</g><defs>{DOUBLING}</defs><use href="#u20"/>', "", "shows more than 50000 shapes"),
        ('<path d="M 0 0 L 1e400 5" stroke="red"/>', "", "not finite"),
        ('<g transform="spin(3)">' + LINE + "</g>", "", "the transform 'spin'"),
        ('<g transform="rotate(1 2)">' + LINE + "</g>", "", "with 2 numbers"),
        ('<circle r="2em" stroke="red"/>', "", "a length in 'em'"),
        ('<g style="transform-origin: 3px 4px">' + LINE + "</g>", "", "transform-origin"),
        ('<svg viewBox="0 0 0 5">' + LINE + "</svg>", "", "the view box '0 0 0 5'"),
    ],
)
def test_what_would_choke_or_mislead_is_refused_in_a_sentence(tmp_path, body, head, words):
    start = time.process_time()
    with pytest.raises(DrawnError, match=re.escape(words)) as told:
        read(tmp_path, body, head=head)
    assert re.match(r"a\.svg [^{]*$", str(told.value))
    assert time.process_time() - start < 5.0


def test_a_file_as_large_as_a_photo_is_refused_unread(tmp_path, monkeypatch):
    monkeypatch.setattr("flatten.drawn.read.LARGEST_FILE", 100)
    with pytest.raises(DrawnError, match="larger than 0 MB; save the drawing alone in it"):
        read(tmp_path, LINE)


def test_chance_bytes_are_never_more_than_a_sentence(tmp_path):
    whole = (f'<svg xmlns="http://www.w3.org/2000/svg" {PAGE}><g transform="rotate(30 5 5)">{LINE}'
             '<path d="M0 0 C1 2 3 4 5 6 A 5 5 0 0 1 9 9 Z" stroke="red"/></g></svg>').encode()  # fmt: skip
    chance = np.random.default_rng(7)
    path = tmp_path / "a.svg"
    read_some = 0
    for _ in range(300):
        data = bytearray(whole)
        for at in chance.integers(0, len(data), 2):
            data[at] = int(chance.integers(32, 127))
        path.write_bytes(bytes(data))
        told = sentence_of(path)
        assert told is None or "\n" not in told
        read_some += told is None
    assert 0 < read_some < 300


def sentence_of(path):
    try:
        drawn_file(path, what="the drawing", fine=FINE)
    except DrawnError as error:
        return str(error)
    return None
