"""What the work order does not take is told in a maker's words, with the place of the field that it is about."""

import re

import pytest
from starlette.testclient import TestClient

from cli.page.app import page_app
from cli.page.edits import with_values
from cli.page.folder import Folder
from cli.page.refusals import OrderError
from cli.page.session import Session
from cli.page.state import sentence
from flatten.job.text import job_from

FULL = """\
[scan]
file = "leg.ply"
limb = "lower leg"
[[scan.tape]]
girth = "380 mm"
[lining]
[[seam]]
[[dart]]
name = "heel"
[[plate]]
[[lames]]
[[fitting]]
[[hide]]
shape = "side"
"""
JOB = job_from(FULL, name="job")
OFFERED_ALONE = (
    "scan.file",
    "seam.0.name",
    "dart.0.name",
    "plate.0.name",
    "plate.0.on",
    "lames.0.name",
    "hide.0.outline",
    "leather.limits",
)
"""Values that are any text, and limits, which the work itself looks into."""


def leaves(value, path=()):
    """Every single value's path; a list of plain values is one."""
    if isinstance(value, dict) and value:
        return [found for key, part in value.items() for found in leaves(part, (*path, key))]
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return [found for n, part in enumerate(value) for found in leaves(part, (*path, n))]
    return [path]


TABLE = JOB.model_dump(mode="json")
PATHS = [path for path in leaves(TABLE) if path[0] not in ("sure", "other_scan")]
KEYS = {part for path in PATHS for part in path if isinstance(part, str)}
PLAIN_WORDS = {"back", "front", "outside", "inside", "top", "bottom", "on", "at", "along"}
"""Keys that are a maker's words too."""


def file_words(text):
    """What of a sentence only who writes job files can read."""
    brackets = re.findall(r"[\[\]{}=]|\w+_\w+|(?<![\w.])[a-z]+\.(?:[a-z]+|\d)", text)
    quoted = set(re.findall(r"[“'](\w+)[”']", text)) & (KEYS - PLAIN_WORDS)
    return [*brackets, *quoted]


def refusal_of(path, value):
    """The error of a value; None where it is taken."""
    try:
        with_values(JOB, [(list(path), value)])
    except OrderError as error:
        return error
    return None


def refused(*changes):
    with pytest.raises(OrderError) as caught:
        with_values(JOB, [(list(path), value) for path, value in changes])
    return caught.value


@pytest.mark.parametrize("path", PATHS, ids=lambda path: ".".join(map(str, path)))
def test_no_refusal_holds_a_word_of_the_job_file(path):
    for wrong in ("much", "-1 mm", 1e9, -1, [], ["x"], {"x": 1}, None, True, ""):
        error = refusal_of(path, wrong)
        if error is not None:
            assert file_words(sentence(str(error))) == [], sentence(str(error))
            assert error.path[: len(path)] == path or path[: len(error.path)] == error.path


@pytest.mark.parametrize("path", PATHS, ids=lambda path: ".".join(map(str, path)))
def test_every_value_has_something_that_it_refuses(path):
    if ".".join(map(str, path)) not in OFFERED_ALONE:
        refused((path, {"x": [1]}))


@pytest.mark.parametrize(
    ("changes", "path", "begins"),
    [
        ([(("wear", "ease"), "much")], ("wear", "ease"), "“much” is not a length; write"),
        ([(("scan", "tape", 0, "girth"), "much")], ("scan", "tape", 0, "girth"), "“much” is not a length"),
        ([(("output", "mesh"), "rough")], ("output", "mesh"), "“rough” is not among what can be"),
        ([(("leather", "hardening"), "5 %")], ("leather",), "Pieces are cut larger only for leather"),
        ([(("lames", 0, "where"), "on")], ("lames", 0), "Lames that lie on the leather begin at a height"),
        ([(("fitting", 0, "showed"), ["tight"])], ("fitting", 0, "showed"), "“tight” does not say by how much"),
        ([(("bed",), {"width": "600 mm", "height": "400 mm"})], (), "Pieces are laid on leathers or on a bed"),
        ([(("plate", 0, "around"), [10, 10])], ("plate", 0), "A plate lies inside an outline of its own"),
        ([(("seam", 0, "overlap"), "20 mm")], ("seam", 0), "A laced seam does not overlap"),
        ([(("scan", "nothing", "here"), 1)], ("scan", "nothing", "here"), "What you changed is no longer"),
    ],
)
def test_a_refusal_tells_why_and_where(changes, path, begins):
    error = refused(*changes)
    assert error.path == path
    assert sentence(str(error)).startswith(begins)


def test_the_page_is_sent_the_sentence_with_its_place(tmp_path, idle):
    session = Session(Folder(tmp_path / "bench"))
    with TestClient(page_app(session), headers={"origin": "http://testserver"}) as client:
        session.take_demo()
        answer = client.post("/set", content='[[["wear", "ease"], "much"]]')
        assert answer.status_code == 422
        told = answer.json()
        assert (told["path"], told["sentence"][:9]) == (["wear", "ease"], "“much” is")
        assert client.post("/set", content='[[["wear", "ease"], "9 mm"]]').status_code == 200
