"""Where the house makes messages: their codes and the figures they bring, read from its source."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from jinja2 import Environment, nodes

ROOT = Path(__file__).parent.parent.parent
MODULES = sorted(path for room in ("flatten", "cli") for path in (ROOT / room).rglob("*.py"))
TEMPLATES = sorted((ROOT / "flatten").rglob("*.jinja"))

MAKERS = {"message": set(), "finding": {"place"}}
"""What makes a message, and which of its keywords are no figures."""


@dataclass(frozen=True)
class Made:
    """A message as it is made somewhere: its code (None where it is no literal) and the names of its figures."""

    where: str
    code: str | None
    figures: frozenset[str | None]


def made() -> list[Made]:
    """Every message that is made in modules and templates."""
    return [
        *(each for path in MODULES for each in _in_module(path)),
        *(e for path in TEMPLATES for e in _in_page(path)),
    ]


def _in_module(path: Path) -> Iterator[Made]:
    for node in ast.walk(ast.parse(path.read_text("utf8"))):
        if not isinstance(node, ast.Call) or _called(node.func) not in MAKERS:
            continue
        given = {keyword.arg for keyword in node.keywords} - MAKERS[_called(node.func)]
        code = node.args[0] if node.args else None
        literal = code.value if isinstance(code, ast.Constant) and isinstance(code.value, str) else None
        yield Made(f"{path.relative_to(ROOT)}:{node.lineno}", literal, frozenset(given))


def _called(function: ast.expr) -> str:
    return function.id if isinstance(function, ast.Name) else ""


def _in_page(path: Path) -> Iterator[Made]:
    """In a template, `said` makes a message and says it."""
    for call in Environment().parse(path.read_text("utf8")).find_all(nodes.Call):
        if isinstance(call.node, nodes.Name) and call.node.name == "said":
            code = call.args[0]
            literal = code.value if isinstance(code, nodes.Const) else None
            yield Made(f"{path.relative_to(ROOT)}:{call.lineno}", literal, frozenset(each.key for each in call.kwargs))


def joined_by_language() -> set[str]:
    """Codes that a language is asked for by itself, where messages are put together."""
    found = set()
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text("utf8"))):
            looked_up = isinstance(node, ast.Subscript) and isinstance(node.value, ast.Attribute)
            if looked_up and node.value.attr == "sentences" and isinstance(node.slice, ast.Constant):
                found.add(node.slice.value)
    return found
