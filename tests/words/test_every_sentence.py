"""Every sentence stands in the language's table, is told somewhere and can be said; none stands anywhere else."""

from __future__ import annotations

import inspect
import itertools
import math
import random
from collections.abc import Iterator

import pytest

from flatten.advice.advise import STEPS
from flatten.drawing.model import LAYERS
from flatten.findings import Figure
from flatten.leather.model import VERDICTS
from flatten.leather.regions import LEVELS
from flatten.limb.kind import KINDS, QUARTERS
from flatten.report.order import GROOVED
from flatten.report.order import STEPS as WORK
from flatten.report.sure import DOUBTS
from flatten.steps import Step
from flatten.words.english import ENGLISH
from flatten.words.english import MODULES as TABLES
from flatten.words.english.hardware import STRAP_PARTS
from flatten.worn.curves import SEAM_KINDS
from tests.words.codes import MODULES, ROOT, joined_by_language, made
from tests.words.spoken import sentences

MADE = made()

SPOKEN = ("flatten/words/", "flatten/limb/kind.py", "flatten/job/showed.py", "cli/template.py")
"""Where sentences stand by right: the table, the records whose texts are keys of it, the patterns of what makers write,
and remarks of a new job file."""

KEYS: dict[str, tuple[str, ...]] = {
    "bends": ("dry", "cased", "not"),
    "closing": ("laced", "strapped", "riveted", "snapped", "stitched"),
    "cut": ("dart", "slash"),
    "drawn": ("bevel line", "border line", "stitch line"),
    "edge": ("top", "bottom", "top edge", "bottom edge"),
    "end": ("foot", "hand"),
    "far_end": ("foot", "hand"),
    "form": ("bulge", "hollow", "shape"),
    "grooved": GROOVED,
    "ground": ("hide", "bed"),
    "half": ("upper", "lower", "buckles", "straps"),
    "held_by": tuple(kind.held_by for kind in KINDS.values()),
    "item": ("eyelet", "rivet", "snap", "lace", "thread", "strap", "buckle strap", "buckle", "strip"),
    "joined": ("seam", "strap", "buckle strap", "dart", "slash", "plate", "lame", "lining", "edge"),
    "kind": tuple(KINDS),
    "kept": ("large", "largest", "picked"),
    "kept_by": ("side", "eyelet", "rivet", "snap", "strap rivet", "slot", "stitch", "notch"),
    "landmark": ("knee", "kneecap", "elbow"),
    "landmark_or_widest": ("widest", "ankle", "kneecap", "wrist", "elbow"),
    "layer": tuple(LAYERS),
    "left_out": ("text", "image", "clip", "hatch", "dimension", "other"),
    "level": LEVELS,
    "measure": ("count", "length", "area", "volume"),
    "meets": SEAM_KINDS,
    "motif": ("filling", "border", "drawing"),
    "opens": ("laced", "strapped", "open", "several"),
    "seen": ("foot", "hand"),
    "run": ("round", "up"),
    "side": (*QUARTERS, "left", "right"),
    "sort": ("leather", "lining", "binding", "board"),
    "source": ("strip test", "given", "cased"),
    "strap_part": tuple(STRAP_PARTS),
    "step": tuple(step for step, _ in WORK),
    "tender": tuple(place.name for kind in KINDS.values() for place in kind.tender),
    "total": ("eyelet", "rivet", "snap", "buckle", "strap leather", "lace", "thread"),
    "unit_from": ("file", "given", "guessed", "tape"),
    "why": ("unit", "most", "body", "unit alone", "usual"),
    "verdict": VERDICTS,
    "way": ("up", "round", "slanting"),
    "forms": ("itself", "wrap", "force", "not"),
    "what": ("dry", "wet", "kept", "springback", "shrinkage", "hardening"),
    "zero": tuple(key for kind in KINDS.values() for key in (kind.zero_name, kind.zero_place)),
}
"""Figures that are keys: every one."""

SAMPLES: dict[str, tuple[Figure, ...]] = {
    "bool": (False, True),
    "float": (0.0002, 1.0, 38.46),
    "int": (0, 1, 2, 7),
    "str": ("some words",),
    "tuple[str, ...]": (("some words",), ("some words", "others", "and more")),
    "tuple[float, ...]": ((0.4,), (1.0, 38.46), (0.4, 7.0, 61.0)),
    "tuple[int, int, int]": ((1, 2, 3),),
    "tuple[str, str]": (("some words", "others"),),
    "None": (None,),
}
"""All other figures, by the type that a sentence wants."""

MOST = 3000
"""Ways of filling a sentence that are tried; where there are more, as many by chance."""


def parameters(code: str) -> dict[str, str]:
    """The figures that the sentence of a code wants, and their types."""
    return {name: str(one.annotation) for name, one in inspect.signature(ENGLISH.sentences[code]).parameters.items()}


def samples(name: str, annotation: str) -> tuple[Figure, ...]:
    """Figures for a sentence by name and type."""
    kinds = [SAMPLES[part] if part != "str" else KEYS.get(name, SAMPLES["str"]) for part in annotation.split(" | ")]
    return tuple(itertools.chain(*kinds))


def fillings(code: str) -> Iterator[dict[str, Figure]]:
    """Ways of filling the sentence of a code."""
    wanted = parameters(code)
    each = [samples(name, annotation) for name, annotation in wanted.items()]
    if math.prod(map(len, each)) <= MOST:
        yield from (dict(zip(wanted, one, strict=True)) for one in itertools.product(*each))
        return
    chance = random.Random(code)
    yield from ({name: chance.choice(own) for name, own in zip(wanted, each, strict=True)} for _ in range(MOST))


def test_every_message_has_a_sentence_that_takes_its_figures():
    wrong = [
        f"{one.where}: {one.code} {sorted(map(str, one.figures))}"
        for one in MADE
        if one.code not in ENGLISH.sentences or set(parameters(one.code)) != one.figures
    ]
    assert wrong == []


def test_every_sentence_is_told_somewhere():
    assert sorted(set(ENGLISH.sentences) - {one.code for one in MADE} - joined_by_language()) == []


def test_no_code_stands_twice():
    assert len(ENGLISH.sentences) == sum(len(table.SENTENCES) for table in TABLES)


def test_every_key_that_is_no_name_has_one():
    kinds = [key for kind in KINDS.values() for key in (kind.zero_name, kind.zero_place, kind.widest, kind.held_by)]
    kinds += [
        f"{family}.{kind}"
        for kind in KINDS
        for family in ("a", "front", "click front", "joint", "click joint", "measure joint")
    ]
    kinds += [f"{family}.{at}" for kind in KINDS.values() for at in kind.tape_places for family in ("tape at", "taped")]
    assert set(kinds) | set(Step) | set(STEPS) <= set(ENGLISH.names)


@pytest.mark.parametrize("code", ENGLISH.sentences)
def test_every_sentence_can_be_said(code):
    for figures in fillings(code):
        said = ENGLISH.sentences[code](**figures)
        assert said.strip(), figures
        assert " None" not in said, figures
        assert "{" not in said, figures


@pytest.fixture(scope="module")
def spoken():
    return sentences({str(path): path.read_text("utf8") for path in MODULES})


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_sentence_for_a_user_stands_outside_the_table(path, spoken):
    if not path.relative_to(ROOT).as_posix().startswith(SPOKEN):
        assert [(line, said) for line, said in spoken[str(path)] if said not in DOUBTS] == []


def seen(source):
    return [text for _, text in sentences({"it": source})["it"]]


def test_a_sentence_is_seen_wherever_it_stands():
    source = """
def told(found):
    if found:
        return f"The scan shows {found} of the whole limb."
    return "It shows all of it."
"""
    assert seen(source) == ["The scan shows … of the whole limb.", "It shows all of it."]


def test_errors_help_and_docstrings_are_no_sentences():
    source = '''
"""What this module is about, in a sentence."""

KINDS = {"a": "a picture of a phone", "b": "a page of a book"}

def read(path):
    """What comes back, as a fact."""
    found = "is no file that can be read"
    if path.broken:
        raise ScanError(f"{path} {found}; {_remedy(path)}")
    for ending, kind in KINDS.items():
        if path.suffix == ending:
            raise ScanError(f"{path} is {kind}")

def _remedy(path):
    return "save it once more from there"

@option("--out", help="Folder for the files of a job.")
def make(): ...
'''
    assert seen(source) == []


def test_what_an_error_says_is_a_sentence_where_something_else_says_it_too():
    source = """
REMEDY = "save it once more from there"

def read(path):
    found = "is no file that can be read"
    print(found)
    raise ScanError(f"{path} {found}; {REMEDY}")

def remedy():
    return REMEDY
"""
    assert seen(source) == ["save it once more from there", "is no file that can be read"]
