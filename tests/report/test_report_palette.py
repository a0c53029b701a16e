"""The report and the page take their colours from one table each, and from nowhere else."""

import re
from importlib.resources import files

import pytest

from cli.page.palette import PAGE
from flatten.report.palette import REPORT, css_variables
from flatten.report.ramp import bands

STATIC = files("cli.page") / "static"
SHEETS = {
    "report": ([files("flatten.report") / "page.css"], REPORT),
    "page": ([STATIC / "page.css", STATIC / "guide.css", STATIC / "verdict.css", STATIC / "colours.js"], PAGE),
}
"""Where each asks for its colours: style sheets, and the picture's script."""


@pytest.mark.parametrize(("sources", "palette"), SHEETS.values(), ids=SHEETS)
def test_a_style_sheet_uses_every_colour_and_has_none_of_its_own(sources, palette):
    text = "".join(source.read_text("utf8") for source in sources)
    used = set(re.findall(r"""(?:var|one)\("?--([\w-]+)"?\)""", text))
    assert used == set(palette)
    # Paper is white, and a shadow black: no colours that follow the screen.
    assert set(re.findall(r"#[0-9a-f]{3,8}\b(?=[;\s])", text)) <= {"#fff"}


def test_the_bands_are_the_same_colours_in_report_and_page():
    kinds = [band.kind for band in bands()]
    assert len(kinds) == 12
    assert [PAGE[kind] for kind in kinds] == [REPORT[kind] for kind in kinds]


def luminance(colour):
    """Of an sRGB colour (WCAG 2.2, definition of relative luminance)."""
    shares = [value / 255 for value in bytes.fromhex(colour[1:])]
    linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
    return sum(weight * value for weight, value in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize("palette", [REPORT, PAGE], ids=["report", "page"])
def test_bands_grow_darker_by_day_and_lighter_at_night_and_inks_are_read(palette, look):
    colours = {name: getattr(colour, look) for name, colour in palette.items()}
    sign = -1 if look == "light" else 1
    for letter, count in (("s", 7), ("q", 4)):
        steps = [sign * luminance(colours[f"{letter}{number}"]) for number in range(1, count + 1)]
        assert steps == sorted(steps)
        assert len(set(steps)) == count
    for ink in ("ink", "soft", "accent", "dry", "cased", "hard", "not"):
        one, other = sorted(luminance(colours[name]) for name in (ink, "card"))
        # WCAG 2.2, 1.4.3: 4.5 to 1 for text.
        assert (other + 0.05) / (one + 0.05) >= 4.5, ink


def test_variables_name_every_colour_by_day_and_on_a_dark_screen():
    light, dark = css_variables(PAGE).split("@media")
    assert dark.startswith(" screen and (prefers-color-scheme: dark) {")
    for part, look in ((light, "light"), (dark, "dark")):
        told = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", part))
        assert told == {name: getattr(colour, look) for name, colour in PAGE.items()}
