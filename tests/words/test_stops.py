"""Every finding that may be a stop has its place in the order of gravity, and its few words in a heading."""

import ast
import inspect

import pytest

from flatten.findings import finding, message
from flatten.report.sure import DOUBTS, KEYS
from flatten.words.english import ENGLISH
from flatten.words.say import stop, sure
from tests.words.codes import MODULES
from tests.words.test_every_sentence import parameters, samples


def may_be_stops():
    """Codes of findings whose severity is "stop", or is told by something else than a text."""
    found = set()
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text("utf8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "finding":
                code, severity = node.args
                if not (isinstance(severity, ast.Constant) and severity.value in ("look", "note")):
                    found.add(code.value)
    return sorted(found)


def filled(code):
    """A finding of a code with figures of the right types, the first ones that there are."""
    return finding(code, "stop", **{name: samples(name, kind)[0] for name, kind in parameters(code).items()})


def test_there_are_stops():
    assert {"leather.over limits", "report.overlaps", "seam.unequal"} <= set(may_be_stops())


@pytest.mark.parametrize("code", may_be_stops())
def test_a_stop_has_its_gravity_and_its_words(code):
    doubt = DOUBTS[code]
    wanted = set(parameters(code))
    assert set(inspect.signature(ENGLISH.stops[code]).parameters) == wanted
    if KEYS[doubt.key] is not None:
        assert doubt.figure in wanted
        assert not isinstance(doubt.sigma, str) or doubt.sigma in wanted


@pytest.mark.parametrize("code", sorted(ENGLISH.stops))
def test_a_stop_is_one_short_sentence(code):
    """What is wrong and what settles it, at most as long as two lines of a terminal."""
    for verdict in ("cased", "hard", "not"):
        figures = filled(code).figures | ({"verdict": verdict} if "verdict" in filled(code).figures else {})
        said = stop(finding(code, "stop", **figures))
        assert said[0].isupper()
        assert said.endswith(".")
        assert ". " not in said
        assert ": " in said
        assert len(said) <= 160
        assert " None" not in said


def test_each_key_that_can_be_settled_belongs_to_a_stop():
    assert {doubt.key for doubt in DOUBTS.values()} <= set(KEYS)


def test_a_stop_on_one_of_two_limbs_says_which():
    from flatten.findings import on_limb

    (there,) = on_limb([finding("seam.unequal", "stop", seam="back", ease=17.2, length=280.0)], "right")
    assert stop(there).startswith("On the right: The two sides of the seam “back” differ by 17 mm")
    assert sure(there).startswith("On the right: You said that you are sure: ")


def test_a_code_without_words_is_no_silence():
    with pytest.raises(KeyError, match="at height"):
        stop(finding("at height", "stop", zero="zero.ankle", height=message("mm", value=1.0)))
