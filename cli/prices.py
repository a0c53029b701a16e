"""`calfskin prices FOLDER`: a prices file to fill in, with all that the job in a folder needs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from cli.files import write_files
from flatten.errors import CalfskinError
from flatten.findings import message
from flatten.words import say


class PricesError(CalfskinError, ValueError):
    """There is no list to make prices of, or prices are there already."""


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="The file to write; else it is printed.")
def prices(folder: Path, out: Path | None) -> int:
    """List all that the job made in FOLDER needs, as a prices file to fill in with prices of your own.

    Prices that the job knew stand in it already. A file that is there is left as it is.
    """
    report = _report(folder / "report.json")
    text = _text(report)
    if out is None:
        click.echo(text, nl=False)
        return 0
    if out.exists():
        raise PricesError(f"{out} is already there, with your prices; name another with --out")
    write_files(out.parent, ((out.name, text.encode()),))
    click.echo(say.text(message("terminal.wrote", file=str(out))))
    return 0


def _report(path: Path) -> dict[str, Any]:
    try:
        found = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError):
        found = None
    if not isinstance(found, dict) or "shopping" not in found:
        raise PricesError(f"there is no report with a list in {path.parent}; make it first: calfskin make JOB")
    return found


def _text(report: dict[str, Any]) -> str:
    """The prices file: what is known filled in, all else empty."""
    costs = report["costs"] or {"currency": "", "lines": [], "other": [], "work": None}
    hourly = costs["work"]["hourly"] if costs["work"] else ""
    known = {line["item"]: line["price"] for line in costs["lines"]}
    lines = [
        f"# {say.text(message('shopping.prices head'))}",
        f"currency = {_quoted(costs['currency'])} # {say.text(message('shopping.prices currency'))}",
        f"hourly = {_quoted(hourly)} # {say.text(message('shopping.prices hourly'))}",
        "",
        "[price]",
    ]
    for item in report["shopping"]:
        remark = message("shopping.bought", measure=item["measure"], needed=item["needed"], spare=item["spare"])
        lines.append(f"{_quoted(item['item'])} = {_quoted(known.get(item['item']) or '')} # {say.text(remark)}")
    lines += ["", f"[other] # {say.text(message('shopping.prices other'))}"]
    lines += [f"{_quoted(one['name'])} = {_quoted(one['cost'])}" for one in costs["other"]]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A text as TOML has it."""
    return json.dumps(text, ensure_ascii=False)
