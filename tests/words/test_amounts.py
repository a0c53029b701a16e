"""Shares and lengths as English text."""

import pytest

from flatten.words.english.amounts import mm, mm_and_inches, percent, percent_range


@pytest.mark.parametrize(
    ("share", "signed", "words"),
    [
        (0.041, False, "4.1 %"),
        (0.041, True, "+4.1 %"),
        (-0.02, True, "−2.0 %"),
        (-0.0001, True, "0.0 %"),
        (0.0001, True, "0.0 %"),
        (-0.1004, True, "−10.0 %"),
    ],
)
def test_a_share_reads_with_one_decimal(share, signed, words):
    assert percent(share, signed=signed) == words


def test_a_range_that_reads_the_same_is_one_figure():
    assert percent_range(0.994, 1.012) == "−0.6 to +1.2\N{NO-BREAK SPACE}%"
    assert percent_range(1.01201, 1.01202) == "+1.2\N{NO-BREAK SPACE}%"


def test_lengths_read_in_both_units():
    assert mm_and_inches(392.26) == "392 mm (15.4 in)"
    assert mm(-0.2) == "0 mm"
    assert mm(-12.0) == "−12 mm"
