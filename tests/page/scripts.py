"""The page's scripts as text: their string literals and the calls of a function, by a scanner of our own."""

import re

GAP = "\N{OBJECT REPLACEMENT CHARACTER}"
"""Stands for an expression in a template literal."""

_BEFORE_REGEX = "(,=:[!&|?{};"
"""After one of these, or at the beginning, a slash begins a regular expression and is no division."""


def literals(source):
    """Every string and template literal of a script, in the order in which they end; expressions in them are GAPs."""
    found, at = [], 0
    while at < len(source):
        at = _step(source, at, found)
    return found


def _step(source, at, found):
    """Where the token at a place ends; its literals are added to `found`."""
    if source.startswith("//", at):
        return source.find("\n", at) % (len(source) + 1)
    if source.startswith("/*", at):
        return source.index("*/", at) + 2
    if source[at] in "\"'":
        end = re.compile(rf"(?:\\.|[^\\{source[at]}])*").match(source, at + 1).end()
        found.append(source[at + 1 : end])
        return end + 1
    if source[at] == "`":
        return _template(source, at + 1, found)
    if source[at] == "/" and (source[:at].rstrip() or "(")[-1] in _BEFORE_REGEX:
        return re.compile(r"/(?:\\.|\[(?:\\.|[^\]\\])*\]|[^/\\\[])+/").match(source, at).end()
    return at + 1


def _template(source, at, found):
    text = ""
    while source[at] != "`":
        if source.startswith("${", at):
            at, depth = at + 2, 1
            while depth:
                depth += {"{": 1, "}": -1}.get(source[at], 0)
                at = _step(source, at, found)
            text += GAP
        else:
            step = 2 if source[at] == "\\" else 1
            text, at = text + source[at : at + step], at + step
    found.append(text)
    return at + 1


def calls(source, name):
    """The arguments of every call of a function, as they are written."""
    for match in re.finditer(rf"(?<![\w.]){name}\(", source):
        begin, at, depth = match.end(), match.end(), 1
        while depth:
            depth += {"(": 1, ")": -1}.get(source[at], 0)
            at = _step(source, at, [])
        yield source[begin : at - 1]


def parts(written):
    """What stands between the commas of arguments, or of an object or list without its brackets."""
    found, begin, at, depth = [], 0, 0, 0
    while at < len(written):
        if written[at] == "," and depth == 0:
            found.append(written[begin:at])
            begin = at + 1
        depth += {"(": 1, "[": 1, "{": 1, ")": -1, "]": -1, "}": -1}.get(written[at], 0)
        at = _step(written, at, [])
    return [part.strip() for part in (*found, written[begin:]) if part.strip()]
