"""The page speaks from one table: no script and no HTML has words of its own, and no text is left over."""

import re
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from cli.page.app import front_page, page_app
from cli.page.folder import Folder
from cli.page.session import Session
from flatten.steps import Step
from flatten.words.say import page_texts
from tests.page.scripts import GAP, calls, literals, parts

PAGE = files("cli.page")
HTML = PAGE.joinpath("index.html").read_text("utf-8")
STATIC = Path(str(PAGE.joinpath("static")))
SCRIPTS = {
    path.relative_to(STATIC).as_posix(): path.read_text("utf-8")
    for path in STATIC.rglob("*.js")
    if "vendor" not in path.parts
}
TEXTS = page_texts()
NO_SENTENCES = {"input, textarea, select", "up the limb", "across the limb", "as strips shrank"}
"""A selector, and three values of a job file."""

GROUPS = {key.partition(".")[0] for key in TEXTS if "." in key}


def sentences(texts):
    """Texts of three words or more, an expression counting as one, at least one of which is written out."""
    word = rf"(?:[^\W\d_]+(?:[’-][^\W\d_]+)*|{GAP})"
    three = re.compile(rf"(?<!\S){word}(?:[,:;]? {word}){{2,}}(?!\w)")
    runs = [match[0] for text in texts for match in three.finditer(text)]
    return [run for run in runs if re.search(r"[^\W\d_]{2,}", run)]


def keys_like(literal):
    """The keys of the table that a literal stands for: itself, or all that an expression in it may make."""
    pattern = re.compile(".+".join(re.escape(part) for part in literal.split(GAP)))
    return [key for key in TEXTS if pattern.fullmatch(key)]


def asked(source):
    """The literals by which a script asks for texts, and the names of its figures (None: not written there)."""
    for name in ("text", "textParts"):
        for written in calls(source, name):
            key, *figures = parts(written)
            brought = {re.match(r"\w+", part)[0] for part in parts(figures[0][1:-1])} if figures else set()
            known = brought if not figures or figures[0].startswith("{") else None
            for literal in literals(re.sub(r'[=!]== "\w+"', "", key)):
                yield literal, known


def test_no_script_has_a_sentence_of_its_own():
    assert len(SCRIPTS) > 15
    for name, source in SCRIPTS.items():
        if name != "shaders.js":  # whose literals are programs of the graphics card
            assert (name, sentences(set(literals(source)) - TEXTS.keys() - NO_SENTENCES)) == (name, [])


@pytest.mark.parametrize(
    ("source", "wanted"),
    [
        ("say('Draw it past both edges.') // of three words", ["Draw it past both edges"]),
        (
            "const a = b / c / 2; say(`${n} pieces, ${m(`in ${x} mm`)} wide`)",
            [f"in {GAP} mm", f"{GAP} pieces, {GAP} wide"],
        ),
        (r'x.replace(/["\'`]/g, "\"one or two\"")', [r"one or two"]),
        ('h("p", { class: "soft" }, `M${x} ${y}`, `ring ${kind}`)', []),
    ],
)
def test_a_sentence_in_a_script_would_be_found(source, wanted):
    assert [run.strip('\\"') for run in sentences([text.strip('\\"') for text in literals(source)])] == wanted


class Words(HTMLParser):
    """All that a reader of HTML reads or hears."""

    def __init__(self, html):
        super().__init__()
        self.found = []
        self.feed(html)

    def handle_data(self, data):
        self.found.append(data)

    def handle_starttag(self, tag, attrs):
        self.found += [value for name, value in attrs if name in ("alt", "aria-label", "placeholder", "title")]


def test_the_html_has_no_word_of_its_own():
    own = [re.sub(r"\$\{[^}]*\}", "", text).strip() for text in Words(HTML).found]
    assert {text for text in own if text} == {"−", "+"}
    spoken = " ".join(Words(front_page()).found)
    assert "Nothing lies on the bench yet." in spoken
    assert "Arrow keys turn the limb." in spoken
    assert "$" not in spoken


def test_every_text_that_a_script_asks_for_is_in_the_table_with_its_figures():
    for name, source in SCRIPTS.items():
        for literal, brought in asked(source):
            keys = keys_like(literal)
            assert keys, f"{name} asks for {literal}"
            for key in keys:
                needed = set(re.findall(r"\{(\w+)\}", TEXTS[key]))
                assert brought is None or needed <= brought, f"{name} asks for {key} without {needed - brought}"


def test_what_looks_like_a_key_is_one():
    for name, source in SCRIPTS.items():
        for literal in literals(source):
            if re.fullmatch(r"[a-z]+\.[a-z. ]+", literal) and literal.partition(".")[0] in GROUPS:
                assert literal in TEXTS, f"{name} has {literal}"


def test_no_text_is_left_over():
    used = set(re.findall(r"\$\{([^}]*)\}", HTML))
    for source in SCRIPTS.values():
        used |= TEXTS.keys() & set(literals(source))
        used |= {key for literal, _ in asked(source) for key in keys_like(literal)}
    assert sorted(TEXTS.keys() - used) == []


def test_every_step_of_the_work_has_its_text():
    assert {key for key in TEXTS if key.startswith("stage.")} == {f"stage.{step}" for step in Step}


def test_the_scripts_are_given_the_table(tmp_path, idle):
    with TestClient(page_app(Session(Folder(tmp_path / "bench")))) as client:
        assert client.get("/texts").json() == dict(TEXTS)
        assert client.get("/").text == front_page()
        assert client.get("/static/index.html").status_code == 404


def test_a_table_cannot_be_changed():
    with pytest.raises(TypeError):
        TEXTS["undo"] = "Back"
