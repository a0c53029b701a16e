"""What a try-on showed, in a maker's words."""

import pytest

from flatten.job.showed import FORMS, FREED, HOLD, MOST_EDGE, MOST_GIRTH, saying


def read(text):
    found = saying(text)
    assert found.text == text
    return found.kind, found.amount, found.place, found.side, found.edge


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("fits", ("girth", 0.0, None, None, None)),
        ("Fits well at the widest.", ("girth", 0.0, "widest", None, None)),
        ("fits at 120 mm in front", ("girth", 0.0, 120.0, "front", None)),
        ("tight by 6 mm at the widest", ("girth", 6.0, "widest", None, None)),
        ("too tight by 6 mm all over", ("girth", 6.0, None, None, None)),
        ("6 mm too tight in the middle", ("girth", 6.0, "middle", None, None)),
        ("10 mm loose at the top", ("girth", -10.0, "top", None, None)),
        ("loose by 4 mm at 120 mm", ("girth", -4.0, 120.0, None, None)),
        ("loose by 4 mm at -12.5 mm", ("girth", -4.0, -12.5, None, None)),
        ("loose by 0.4 cm at 12 cm", ("girth", -4.0, 120.0, None, None)),
        ("loose by 1/4 in at the bottom", ("girth", -6.35, "bottom", None, None)),
        ("tight by 1/4 in in front", ("girth", 6.35, None, "front", None)),
        ("tight by 5 mm at 200 mm in front", ("girth", 5.0, 200.0, "front", None)),
        ("tight by 5 mm in front at 200 mm", ("girth", 5.0, 200.0, "front", None)),
        ("tight by 5 mm at the wrist on the thumb side", ("girth", 5.0, "wrist", "thumb side", None)),
        ("5 mm tight at the back of the hand side", ("girth", 5.0, None, "back of the hand side", None)),
        ("5 mm loose at the top behind", ("girth", -5.0, "top", "back", None)),
        ("stands off by 4 mm at the bottom behind", ("apart", -4.0, "bottom", "back", None)),
        ("stands off 4 mm outside", ("apart", -4.0, None, "outside", None)),
        ("top edge 10 mm too high (behind)", ("edge", -10.0, None, "back", None)),
        ("top edge is too low by 10 mm", ("edge", 10.0, None, None, "top")),
        ("bottom edge 5 mm too high", ("edge", -5.0, None, None, "bottom")),
        ("top edge touches behind at 90 degrees by 8 mm", ("touch", 8.0, None, "back", "top")),
        ("edge touches behind the knee at 90°", ("touch", FREED, None, "back", "knee")),
        ("edge touches behind the knee at 90 degrees by 8 mm", ("touch", 8.0, None, "back", "knee")),
        ("edge touches in front of the ankle", ("touch", FREED, None, "front", "ankle")),
        ("bottom edge touches at the wrist on the palm side", ("touch", FREED, None, "palm side", "bottom")),
        ("slides down", ("slide", -HOLD, "top", None, None)),
    ],
)
def test_a_sentence_is_read_as_amount_place_and_side(text, wanted):
    kind, amount, place, side, edge = read(text)
    if kind == "edge":
        wanted = (*wanted[:4], text[: text.index(" edge")])
    assert (kind, pytest.approx(amount), place, side, edge) == wanted


@pytest.mark.parametrize("text", FORMS)
def test_every_form_that_errors_show_is_understood(text):
    assert saying(text).text == text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is not understood; write it like one of 'fits at the widest', .* or 'slides down'$"),
        ("rather snug", "'rather snug' is not understood; write it like one of"),
        ("tight at the top", "'tight at the top' does not say by how much; write a length with its unit"),
        ("tight by 6 at the top", "does not say by how much; write a length with its unit: 'tight by 6 mm"),
        ("tight by 1 in front", "does not say by how much"),
        ("stands off behind", "does not say by how much"),
        ("top edge too high", "does not say by how much"),
        ("tight by 6 mm at the waist", "'at the waist' is no place and no side; places are 'at the widest', .* sides"),
        ("tight by 6 mm at the top on the moon", "'on the moon' is no place and no side"),
        ("top edge 5 mm too high at the waist", "'at the waist' is no place"),
        (f"tight by {MOST_GIRTH + 1:g} mm", f"{MOST_GIRTH:g} mm is the most"),
        ("stands off by 16 mm in front", "15 mm is the most"),
        (f"top edge {MOST_EDGE + 1:g} mm too high", f"{MOST_EDGE:g} mm is the most"),
        ("edge touches behind", "does not say which edge; write 'top edge touches …' or 'bottom edge touches …'"),
        ("slides down by 5 mm", "is not understood"),
        ("tight by 6 mm and loose by 4 mm", "is no place and no side"),
    ],
)
def test_every_wrong_sentence_says_what_is_wrong_with_it(text, words):
    with pytest.raises(ValueError, match=words) as wrong:
        saying(text)
    assert str(wrong.value).startswith(f"'{text}'")
