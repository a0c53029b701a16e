"""Readings of a strip test as the page's form has them, and as the file that keeps them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

import tomlkit

from cli.page.kept import KeptJob
from flatten.leather.model import LeatherError

OF_ALL = ("load", "width", "thickness")
"""What the form states of all strips."""

OF_ONE = ("direction", "L0", "L1", "L2", "L3", "L4")
"""What it states of each."""

_BESIDE = ("unloaded", "hardened")
"""Strips of a file that was brought which the form has no fields for: they stay as they are."""

USUAL_NAME = "my-strips.toml"
"""What a strip test that was typed in is called."""

MOST_STRIPS = 60
"""Strips of one test: ten hides' worth."""


def readings_text(form: Any) -> str:
    """The strip test's file that a form's readings make; empty readings are left out.

    Raises LeatherError where it is no such form; whether the readings make sense is for the file's reader to say.
    """
    if not isinstance(form, Mapping) or not isinstance(form.get("strip"), list) or len(form["strip"]) > MOST_STRIPS:
        raise LeatherError("those are no readings of strips")
    head: dict[str, Any] = {name: _reading(form, name) for name in OF_ALL}
    strips = [{name: _reading(row, name) for name in OF_ONE} for row in form["strip"] if isinstance(row, Mapping)]
    rows = [{name: value for name, value in strip.items() if value} for strip in strips]
    told = {name: value for name, value in head.items() if value}
    return tomlkit.dumps({**told, "strip": rows, **{name: form[name] for name in _BESIDE if form.get(name)}})


def kept_readings(kept: KeptJob | None) -> dict[str, Any] | None:
    """A kept strip test as the form has it, None where none is kept."""
    if kept is None or not kept.strips.exists():
        return None
    table = tomllib.loads(kept.strips.read_text("utf-8-sig"))
    head = {name: str(table.get(name, "")) for name in OF_ALL}
    rows = [{name: str(strip.get(name, "")) for name in OF_ONE} for strip in table.get("strip", [])]
    return {**head, "strip": rows, **{name: table[name] for name in _BESIDE if name in table}}


def _reading(row: Mapping[str, Any], name: str) -> str:
    """A reading as the file has it: "104.5" is millimetres, or kilograms of a load."""
    written = str(row.get(name, "")).strip()
    bare = written.replace(".", "", 1).isdecimal()
    return f"{written} {'kg' if name == 'load' else 'mm'}" if bare else written
