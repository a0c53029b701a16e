"""Every sentence reads as a maker would say it: numbers agree with nouns, no laboratory words, none too long."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from flatten.words.english import ENGLISH
from tests.words.test_every_sentence import fillings

LABORATORY = (
    r"must stretch",
    r"the leather (before|after) it",
    r"computed on",
    r"(a|an|the|no|lower|upper) bounds?\b",
    r"need differ",
    r"differs by [\d.]",
    r"mesh(es|ed)?\b",
    r"patch(es)?\b",
    r"converge",
    r"certificate",
    r"spread (is|of)",
    r"mid-line",
    r"neutral (line|surface)",
    r"residual",
    r"iterat",
    r"solver",
    r"spline",
    r"sigma",
    r"optimi[sz]",
    r"which it takes",
)
"""What belongs to the laboratory, or was once said and read badly; the family `curious.` alone may say it."""

COUNTED = (
    "buckle|corner|dart|eyelet|face|hole|lace|lame|line|pair|part|piece|place|rib|rivet|seam|sheet|slot|snap|stitch|"
    "strap|strip|thing|point|girth|fitting|crossing"
)
"""Nouns that stand after counts."""

SINGULAR_AFTER_MANY = re.compile(
    rf"(?<![\d.,×–-])\b(0|2|3|7|11) ((round-ended|stitch|two-part) )?({COUNTED})\b(?! (hole|strap)s?\b)"
)
PLURAL_AFTER_ONE = re.compile(rf"(?<![\d.,×–-])\b1 ((round-ended|stitch|two-part) )?({COUNTED})e?s\b")

BADLY_SET = {
    "a unit without a space": re.compile(r"\d(mm|cm|kg|g|in|oz|sq|N)\b"),
    "a hyphen for a minus": re.compile(r"(?<![\w.–\"'/])-\d"),
    "minus nothing": re.compile(r"−0(\.0+)?(?![.\d])"),
    "two spaces": re.compile(r"[^\s·]  +[^\s·]"),
    "a space before a stop": re.compile(r"\w [.,;](?!\w)"),
    "two stops": re.compile(r"\.\.(?!\.)|,,|;\."),
}

LONGEST = 45
"""Words of a sentence up to its stop: what the longest one has."""

POSSIBLE: dict[str, Callable[[Mapping[str, Any]], bool]] = {
    "former.sprung": lambda figures: figures["springback"] < 1.0,
    "leather.strips found": lambda figures: figures["along"] is not None or figures["across"] is not None,
    "part.held": lambda figures: figures["punched"] <= figures["count"],
    "strips.spread": lambda figures: figures["strips"] > 1 or figures["deviation"] is None,
}
"""By code what its figures keep to where they come from: no other fillings are read."""

MAKERS = [code for code in ENGLISH.sentences if not code.startswith("curious.")]


def told(code):
    """What the sentence of a code can say."""
    possible = POSSIBLE.get(code, lambda figures: True)
    return {ENGLISH.sentences[code](**figures) for figures in fillings(code) if possible(figures)}


@pytest.mark.parametrize("code", ENGLISH.sentences)
def test_numbers_agree_with_their_nouns_and_units_are_set_as_they_should_be(code):
    for said in told(code):
        assert not SINGULAR_AFTER_MANY.search(said), said
        assert not PLURAL_AFTER_ONE.search(said), said
        for what, pattern in BADLY_SET.items():
            assert not pattern.search(said), (what, said)


@pytest.mark.parametrize("code", MAKERS)
def test_no_laboratory_word_is_told_to_a_maker(code):
    for said in told(code):
        assert not [word for word in LABORATORY if re.search(rf"\b{word}", said, re.IGNORECASE)], said


def test_no_laboratory_word_stands_on_the_browser_page_or_in_a_heading():
    texts = [*ENGLISH.page.values(), *ENGLISH.names.values()]
    assert [text for text in texts if any(re.search(rf"\b{word}", text, re.IGNORECASE) for word in LABORATORY)] == []


@pytest.mark.parametrize("code", MAKERS)
def test_no_sentence_runs_out_of_breath(code):
    for said in told(code):
        for sentence in re.split(r"(?<=[.!?])\s+(?=[A-Z“])", said):
            assert len(sentence.split()) <= LONGEST, sentence


@pytest.mark.parametrize(
    "said", ["1 holes of 3 mm", "2 hole of 3 mm", "7 round-ended slot", "5mm", "of -3 mm", "up  to"]
)
def test_what_is_said_badly_is_found(said):
    found = (SINGULAR_AFTER_MANY, PLURAL_AFTER_ONE, *BADLY_SET.values())
    assert any(pattern.search(said) for pattern in found)
