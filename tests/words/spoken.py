"""Texts in source that read as sentences for a user, and the kinds of places where they may stand outside words/."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping

WORD = re.compile(r"(?<![\w-])[^\W\d_]{2,}(?![\w-])")

SENTENCE = 4
"""Words from which on a text is taken for a sentence."""

MARKUP = re.compile(r"\s*<|=\"|\{[^}]*\}\n|-src '(self|none)'")
"""What SVG, HTML, style sheets and a page's security policy are written in."""

HELP = ("help", "short_help", "epilog", "metavar")
"""Keywords of a command's help text."""

REFUSALS = ("PlainTextResponse", "_refused", "Failure")
"""What the page's server answers where it refuses or fails: errors of another form."""

COUNTED = ("set", "sorted", "len", "list", "tuple")
"""What takes the keys of a table and leaves its texts alone."""


def sentences(sources: Mapping[str, str]) -> dict[str, list[tuple[int, str]]]:
    """Line and text of each sentence in modules, by name: no docstring, no error, no help text, no message's code.

    What only errors are filled with belongs to them: a function, a variable or a constant that nothing else uses.
    """
    trees = {name: ast.parse(source) for name, source in sources.items()}
    skipped = _skipped(trees)
    return {
        name: sorted(
            (node.lineno, text)
            for node, text in _texts(tree, skipped)
            if len(WORD.findall(text)) >= SENTENCE and not MARKUP.search(text)
        )
        for name, tree in trees.items()
    }


def _texts(node: ast.AST, skipped: set[ast.AST]) -> Iterator[tuple[ast.expr, str]]:
    """Every text that is not skipped; an f-string is one, without what it fills in."""
    if node in skipped:
        return
    if isinstance(node, ast.JoinedStr):
        yield node, "".join(str(part.value) if isinstance(part, ast.Constant) else "…" for part in node.values)
        for part in node.values:
            if isinstance(part, ast.FormattedValue):
                yield from _texts(part.value, skipped)
    elif isinstance(node, ast.Constant):
        if isinstance(node.value, str):
            yield node, node.value
    else:
        for child in ast.iter_child_nodes(node):
            yield from _texts(child, skipped)


def _skipped(trees: Mapping[str, ast.Module]) -> set[ast.AST]:
    """Nodes whose texts nobody but a developer or the reader of an error or a help text sees."""
    skipped: set[ast.AST] = set()
    errors: set[ast.AST] = set()
    for node in (node for tree in trees.values() for node in ast.walk(tree)):
        match node:
            case ast.Expr(value=ast.Constant()):
                skipped.add(node)  # a docstring, of a module, a class, a function or a constant
            case ast.Call() if _name(node.func) in ("message", "finding"):
                skipped |= set(node.args)  # a code
            case ast.keyword() if node.arg in HELP:
                skipped.add(node.value)
            case ast.AnnAssign(annotation=ast.Name(id="TypeAlias"), value=ast.expr()):
                skipped.add(node.value)
            case ast.Raise() | ast.Assert():
                errors.add(node)
            case ast.Call() if _is_error(_name(node.func)) or _name(node.func) in REFUSALS:
                errors.add(node)
            case ast.ClassDef() if _is_error(node.name):
                errors.add(node)
            case ast.FunctionDef() if _is_error(_name(node.returns)):
                errors.add(node)
    return skipped | errors | _told_by(errors, trees)


def _told_by(errors: set[ast.AST], trees: Mapping[str, ast.Module]) -> set[ast.AST]:
    """What errors are filled with and nothing else is: local variables, and functions and constants of the house."""
    within = {inner for node in errors for inner in ast.walk(node)}
    uses: defaultdict[str, list[ast.AST]] = defaultdict(list)
    calls: defaultdict[str, list[ast.AST]] = defaultdict(list)
    for node in (node for tree in trees.values() for node in ast.walk(tree)):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            uses[node.id].append(node)
        elif isinstance(node, ast.Attribute):
            uses[node.attr].append(node)
        elif isinstance(node, ast.Call):
            calls[_name(node.func)].append(node.func)
    keys = {key for tree in trees.values() for key in _keys_only(tree)}
    functions = [node for tree in trees.values() for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    constants = [node for tree in trees.values() for node in tree.body if isinstance(node, ast.Assign)]
    told: set[ast.AST] = set()
    while True:
        more = {one for one in functions if _only(calls[one.name], within, one, keys)}
        more |= {one for one in constants if all(_only(uses[name], within, one, keys) for name in _targets(one))}
        more |= {one for function in functions for one in _local(function, within)}
        if more <= told:
            return told
        told |= more
        within |= {inner for node in more for inner in ast.walk(node)}


def _only(used: list[ast.AST], within: set[ast.AST], apart: ast.AST, keys: set[ast.AST]) -> bool:
    """Whether something is used, and by errors alone; uses `apart` and of its keys do not count."""
    rest = [node for node in used if node not in within and node not in keys]
    if rest:
        own = set(ast.walk(apart))
        rest = [node for node in rest if node not in own]
    return not rest and any(node in within for node in used)


def _local(function: ast.FunctionDef, within: set[ast.AST]) -> Iterator[ast.AST]:
    """What a function assigns, or goes through, for its errors alone."""
    loads: defaultdict[str, list[ast.AST]] = defaultdict(list)
    for node in ast.walk(function):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            loads[node.id].append(node)
    for node in ast.walk(function):
        if isinstance(node, ast.Assign) and all(_only(loads[name], within, node, set()) for name in _targets(node)):
            yield node
        elif isinstance(node, ast.For) and any(
            _only(loads[name], within, node.iter, set()) for name in _bound(node.target)
        ):
            yield node.iter


def _targets(assign: ast.Assign) -> list[str]:
    return [name for target in assign.targets for name in _bound(target)]


def _bound(target: ast.expr) -> list[str]:
    return [node.id for node in ast.walk(target) if isinstance(node, ast.Name)]


def _keys_only(tree: ast.Module) -> Iterator[ast.AST]:
    """Uses of tables that look at their keys alone."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and _name(node.func) in COUNTED:
            yield from node.args
        elif isinstance(node, ast.Compare) and any(isinstance(each, ast.In | ast.NotIn) for each in node.ops):
            yield from node.comparators


def _name(node: ast.AST | None) -> str:
    match node:
        case ast.Name(id=name) | ast.Attribute(attr=name) | ast.Constant(value=str(name)):
            return name
    return ""


def _is_error(name: str) -> bool:
    return name.endswith(("Error", "Exception")) or name == "BadParameter"
