"""No sentence that reaches the page names a place of the job file."""

import ast
import re
from importlib.resources import files

import pytest

from cli.page.refusals import ordered
from cli.page.spoken import _QUESTION, spoken, spoken_part
from cli.page.state import sentence
from flatten.findings import finding, message
from flatten.words import say
from flatten.words.say import page_texts, page_words

ROOMS = (
    "drawing",
    "drawn",
    "former",
    "job",
    "leather",
    "limb",
    "mesh",
    "ornament",
    "pattern",
    "sheet",
    "unwrap",
    "worn",
    "measuring.py",
)
ELSEWHERE = {
    "limb/which/asking.py": "the page says what it sees and has one clicked",
    "job/text.py": "of a job file that is opened",
    "job/shop.py": "prices do not come to the bench",
    "sheet/traced.py": "outlines do not come to the bench",
    "leather/strips.py": "of a strip test's own file",
    "leather/striptable.py": "of a strip test's own file",
}
"""Modules whose errors do not reach the page, or are about a file that the maker wrote."""
MODELS = tuple(
    f"job/{name}.py"
    for name in (
        *("settings", "closings", "plates", "lames", "leathers", "sides", "amounts", "hardening", "lining", "points"),
        *("sure", "formers", "finishes", "fittings", "showed", "finished", "edge_lines", "bearings", "ornaments"),
    )
)
"""Modules whose errors are of a value that is set: test_page_refusals has all of those."""
FILE_WORDS = re.compile(r"\[\[?[a-z_.]+\]|\b[a-z_]+ = |--\w|leave '|write '[a-z_]+'")


def _texts(node):
    """The texts that an expression may be, {} for each value in it; no docstrings."""
    if isinstance(node, ast.JoinedStr):
        yield "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif not (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)):
        for child in ast.iter_child_nodes(node):
            yield from _texts(child)


def raised():
    """(module, text) of all texts of errors that the work may raise."""
    root = files("flatten")
    modules = [
        path
        for room in ROOMS
        for path in ([root / room] if room.endswith(".py") else sorted((root / room).rglob("*.py")))
    ]
    for path in modules:
        name = path.relative_to(root).as_posix()
        if name in ELSEWHERE or name in MODELS:
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Raise) and node.exc is not None:
                yield from ((name, text) for text in _texts(node.exc))


def test_no_error_of_the_work_names_a_place_of_the_job_file():
    found = list(raised())
    assert len(found) > 150
    assert sum(bool(FILE_WORDS.search(text)) for _, text in found) > 10
    assert [(name, spoken(text)) for name, text in found if FILE_WORDS.search(spoken(text))] == []


@pytest.mark.parametrize("module", ["tape", "limb", "fitting", "stops", "leather", "edges", "scan", "wearing"])
def test_no_finding_that_the_page_shows_names_one(module):
    tree = ast.parse((files("flatten.words.english") / f"{module}.py").read_text("utf-8"))
    for text in _texts(tree):
        # The report alone says which lines settle a stop.
        assert not FILE_WORDS.search(spoken(text)) or "under [sure]:" in text or text == "[sure]:", spoken(text)


def test_what_has_no_room_is_told_by_the_pages_own_question():
    told = say.text(message("layout.no leather", pieces=("a plate",), thickness=2.0, area=4000.0))
    assert "[[hide]]" in told
    assert spoken(told).endswith("add a leather 2.0 mm thick under “On which leather is it cut?”.")


def test_every_pattern_says_something_that_the_page_has():
    for pattern, said in page_words():
        assert re.compile(pattern)
        assert {key[1] for key in _QUESTION.finditer(said)} <= page_texts().keys()


def test_a_sentence_of_the_page_leads_to_its_question():
    assert sentence('wear less, or have hollows spanned (hollows = "20 mm" under [wear])') == (
        "Wear less, or have hollows spanned (“Hollows that leather spans”, under “What is worn beneath?”)."
    )


def test_the_leather_of_one_piece_is_not_called_by_a_name_that_nobody_gave():
    told = "plate 'shin' comes to 7.1 mm from the 'bottom edge' of 'whole' at 1°"
    assert sentence(told) == "Plate “shin” comes to 7.1 mm from the bottom edge of the leather at 1°."
    assert spoken("the corner of piece 'whole' between") == "the corner of the leather between"
    assert spoken("the corner of piece 'whole leg' between") == "the corner of piece 'whole leg' between"


@pytest.mark.parametrize("verdict", ["cased", "hard", "not"])
def test_a_stop_of_a_base_beneath_a_plate_says_neither_its_key_nor_that_of_its_limits(verdict):
    told = say.stop(finding("leather.over limits", "stop", piece="whole", verdict=verdict))
    (pin,) = spoken_part("pins", [{"words": told, "chart": [1.0, 2.0]}])
    assert "“whole”" in told
    assert "whole" not in pin["words"]
    assert re.match(r"The (leather cannot|shape lies)", pin["words"])
    assert not FILE_WORDS.search(pin["words"])
    assert pin["chart"] == [1.0, 2.0]


def test_the_job_itself_stays_as_it_is():
    job = ordered({"scan": {"file": "[[scan.tape]] under [edges].ply"}}).model_dump(mode="json")
    state = {"job": job, "limb": {"cautions": ["add it under [[scan.tape]]."], "heights": [1.0, 2.0]}, "made": None}
    said = {name: spoken_part(name, part) for name, part in state.items()}
    assert said["job"] == job
    assert said["limb"] == {"cautions": ["add it under “Is it true to size?”."], "heights": [1.0, 2.0]}
