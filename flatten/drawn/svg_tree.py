"""An SVG file's elements with what their style says, read without following anything outside the file."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

from flatten.drawn.model import DrawnError

MOST_ELEMENTS = 400_000
"""Elements of one file; of 20 MB that would be 50 bytes each."""

_SVG = "/2000/svg"
"""What SVG's namespace ends with."""

_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)

INHERITED = ("stroke", "fill", "visibility", "font-size")
"""What a group hands on to what lies in it, of the properties that are looked at (SVG 2, appendix F)."""


@dataclass(eq=False)
class Element:
    """An element: `tag` without its namespace ("" for foreign ones), `own` attributes and what its `style` sets."""

    tag: str
    own: dict[str, str]
    style: dict[str, str] = field(default_factory=dict)
    children: list[Element] = field(default_factory=list)
    text: str = ""


def svg_root(data: bytes) -> tuple[Element, Mapping[str, Element]]:
    """The root element, and all elements that have an id by it.

    Raises DrawnError where the file is no SVG, is damaged, or declares entities, which can grow without end.
    """
    stack: list[Element] = []
    root: list[Element] = []
    by_id: dict[str, Element] = {}
    count = 0

    def begin(name: str, attributes: dict[str, str]) -> None:
        nonlocal count
        count += 1
        if count > MOST_ELEMENTS:
            raise DrawnError(f"has more than {MOST_ELEMENTS} elements; save {{what}} alone in it")
        space, _, local = name.rpartition(" ")
        own = {key.rpartition(" ")[2]: value for key, value in attributes.items()}
        element = Element(local if not space or space.endswith(_SVG) else "", own)
        if "id" in own:
            by_id.setdefault(own["id"], element)
        if stack:
            stack[-1].children.append(element)
        else:
            root.append(element)
        stack.append(element)

    def words(text: str) -> None:
        if stack[-1].tag == "style":
            stack[-1].text += text

    def entity(*_: object) -> None:
        raise DrawnError("declares entities, which are not followed; save {what} as plain SVG")

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler = begin
    parser.EndElementHandler = lambda _name: stack.pop()
    parser.CharacterDataHandler = words
    parser.EntityDeclHandler = entity
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        if isinstance(error, DrawnError):
            raise
        raise DrawnError(f"is no SVG file that can be read ({error}); save it again") from None
    if not root or root[0].tag != "svg":
        raise DrawnError("is no SVG file; save {what} as SVG or DXF")
    _styled(root[0])
    return root[0], by_id


def _styled(root: Element) -> None:
    """Set each element's style: presentation attributes, then the file's style sheets, then its own style."""
    everything, at = [root], 0
    while at < len(everything):
        everything += everything[at].children
        at += 1
    rules: dict[str, dict[str, str]] = {}
    for element in everything:
        if element.tag == "style":
            for selectors, body in _RULE.findall(_COMMENT.sub("", element.text)):
                for selector in selectors.split(","):
                    rules.setdefault(selector.strip(), {}).update(_declared(body))
    for element in everything:
        style = dict(element.own)
        if rules:
            classes = element.own.get("class", "").split()
            # From the least specific to the most.
            keys = ["*", element.tag, *(f".{one}" for one in classes), *(f"{element.tag}.{one}" for one in classes)]
            for key in (*keys, f"#{element.own.get('id', '')}"):
                style.update(rules.get(key, {}))
        style.update(_declared(element.own.get("style", "")))
        element.style = style


def _declared(text: str) -> dict[str, str]:
    pairs = (part.partition(":") for part in text.split(";") if ":" in part)
    return {key.strip().lower(): value.partition("!")[0].strip() for key, _, value in pairs}
