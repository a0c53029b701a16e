import matplotlib
import pytest
from fontTools.ttLib import TTFont

from flatten.pattern.lettering import one_line, shortened, text_width


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("reed\nand\twave", "reed and wave"),
        ("a\x00b\ud800c\uffff", "a b c"),
        ("  Hafenwacht – Schienbein ½  ", "Hafenwacht – Schienbein ½"),
        ("港の見張り 🛡", "港の見張り 🛡"),
        ("", ""),
    ],
)
def test_any_text_becomes_one_line(text, line):
    assert one_line(text) == line


@pytest.mark.parametrize("text", ["grain side up", "WIDEST MMM", "shin guard, LEFT 3.2 mm", "ÄÖÜ ßéñ", "1234567890"])
def test_width_is_not_below_that_of_a_wide_open_font(text):
    # DejaVu Sans, of the common sans-serif fonts one of the widest; capitals are 1493 of 2048 units.
    font = TTFont(f"{matplotlib.get_data_path()}/fonts/ttf/DejaVuSans.ttf")
    names, widths = font.getBestCmap(), font["hmtx"]
    real = sum(widths[names[ord(c)]][0] for c in text) / 1493 * 5.0
    assert real <= text_width(text, 5.0) <= 1.6 * real


def test_a_long_text_is_broken_and_then_ended():
    lines = shortened("harbour watch " * 20, columns=20, lines=2)
    assert len(lines) == 2
    assert max(map(len, lines)) <= 20
    assert lines[-1].endswith("…")


def test_an_empty_text_has_no_line():
    assert shortened(" \n", columns=20, lines=2) == ()
