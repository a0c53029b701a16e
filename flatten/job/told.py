"""Which of a job's settings its report tells."""

from __future__ import annotations

from flatten.job.settings import Job, Quarters
from flatten.job.text import given_table
from flatten.report.model import Setting

ALWAYS = (("leather", "thickness"), ("leather", "limits"), ("wear", "under"), ("wear", "ease"))
"""Settings that are told even where they are the usual ones."""


def settings_told(job: Job) -> tuple[Setting, ...]:
    """The job's settings that are not the usual ones as "table.key" and text, in the job file's order, and ALWAYS."""
    rows: list[Setting] = []

    def walk(prefix: str, value: object) -> None:
        if isinstance(value, dict) and value.keys() == Quarters.model_fields.keys() and len({*value.values()}) == 1:
            rows.append(Setting(prefix, str(next(iter(value.values())))))
        elif isinstance(value, dict):
            for key, inner in value.items():
                walk(f"{prefix}.{key}" if prefix else key, inner)
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for number, inner in enumerate(value, 1):
                walk(f"{prefix} {number}", inner)
        else:
            rows.append(Setting(prefix, str(value)))

    table, full = given_table(job), job.model_dump(mode="json")
    for name, key in ALWAYS:
        table.setdefault(name, {})[key] = full[name][key]
    walk("", {name: table[name] for name in full if name in table})
    return tuple(rows)
