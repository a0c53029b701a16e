"""The JSON Schema that report.json keeps to."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

SCHEMA = 2
"""Version of report.json; it rises when a key changes its meaning or goes away, not when one is added."""

FILE = "report.schema.json"
"""The schema's file, in this package."""


def load_schema() -> dict[str, Any]:
    """The schema of report.json as JSON holds it, a new object each time."""
    found: dict[str, Any] = json.loads(files(__package__).joinpath(FILE).read_text("utf8"))
    return found
