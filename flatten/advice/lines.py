"""What differs between two jobs, as lines of a job file."""

from __future__ import annotations

from typing import Any

import tomlkit
from tomlkit.items import InlineTable

from flatten.job.settings import Job

_IDENTIFYING = {"seam": ("name", "along", "kind"), "dart": ("name", "kind", "edge", "along", "depth")}
"""Keys of tables in double brackets that are written even where they are the default."""


def changed_lines(old: Job, new: Job) -> str:
    """TOML of each key of `new` that differs from `old`; of seams and darts, where any differs, all of them.

    Put in place of the same keys of `old`, they make it `new`. "" where nothing differs.
    """
    before, after = old.model_dump(mode="json"), new.model_dump(mode="json")
    short = new.model_dump(mode="json", exclude_defaults=True)
    document = tomlkit.document()
    for name, value in after.items():
        if value == before[name]:
            continue
        if isinstance(value, list):
            tables = tomlkit.aot()
            for entry, brief in zip(value, short[name], strict=True):
                tables.append(tomlkit.item({k: v for k, v in entry.items() if k in brief or k in _IDENTIFYING[name]}))
            document[name] = tables
            continue
        table = tomlkit.table()
        for key, inner in value.items():
            if inner != before[name][key]:
                table[key] = _inline(short[name].get(key, inner)) if isinstance(inner, dict) else inner
        document[name] = table
    return tomlkit.dumps(document)


def _inline(value: dict[str, Any]) -> InlineTable:
    table = tomlkit.inline_table()
    table.update(value)
    return table
