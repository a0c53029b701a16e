"""`calfskin demo`: the harbour watch's pair of shin guards, from a bundled scan, without any file of one's own."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from importlib.resources import files
from pathlib import Path

import click

from cli.files import check_folder, write_files
from cli.make import run
from cli.template import DEMO, DEMO_ARMOUR, DEMO_CARVED, DEMO_LACED, DEMO_STRAPPED
from flatten.findings import Message, message
from flatten.job.text import read_job
from flatten.words import say


@dataclass(frozen=True)
class DemoScan:
    """A bundled scan, and what its job file says: `girth` is the widest one by tape."""

    file: str
    limb: str
    side: str
    girth: int
    wearer: Message
    closing: str
    along: str = "back"
    symmetry: str = "own shape"
    pair: str = "no"
    armour: str = ""
    former: str = "none"

    @property
    def job(self) -> str:
        """The job file's name."""
        return f"{Path(self.file).stem}.toml"

    @property
    def text(self) -> str:
        """The job file's text."""
        return DEMO.format(**{**asdict(self), "wearer": say.text(self.wearer)})

    @property
    def bare(self) -> DemoScan:
        """The same guard with nothing riveted or carved on it and nothing to form it on: a first look at the page is at
        the leather alone."""
        return replace(self, armour="", former="none")


SCANS = (
    DemoScan(
        "harbour_watch_left_shin.ply",
        "lower leg",
        "left",
        383,
        message("demo.watchman"),
        DEMO_LACED,
        pair="mirrored",
        armour=DEMO_ARMOUR,
        former="both",
    ),
    DemoScan(
        "harbour_watch_right_shin.glb",
        "lower leg",
        "right",
        373,
        message("demo.lamplighter"),
        DEMO_LACED,
        symmetry="centre line",
        armour=DEMO_CARVED,
    ),
    DemoScan(
        "harbour_watch_left_forearm.obj",
        "forearm",
        "left",
        292,
        message("demo.pilot"),
        DEMO_STRAPPED,
        along="palm side",
    ),
)


@click.command()
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("calfskin-demo"),
    show_default=True,
    help="Folder for the scans, their job files and what is made.",
)
@click.option("--times", is_flag=True, help="Tell how long each step took.")
def demo(out: Path, times: bool) -> int:
    """Make a pair of laced shin guards of the harbour watch, a theatre's workshop job, from a bundled scan, each with a
    riveted plate that is carved and a sliding lame, and what they are formed on: STL files to print, and ribs to cut
    from board.

    The folder then also holds the scans of another watchman's shin and of a forearm, each with its job file to try:
    that shin guard is symmetrical and carved all over, and the forearm guard closes by straps through slots.
    """
    check_folder(out)
    scans = files("cli.meshes")
    write_files(out, [(scan.file, (scans / scan.file).read_bytes()) for scan in SCANS])
    write_files(out, [(scan.job, scan.text.encode()) for scan in SCANS])
    first, *others = SCANS
    code = run(read_job(out / first.job), folder=out, out=out, times=times)
    click.echo(say.text(message("terminal.go on", command=f"calfskin make {out / others[0].job}")))
    return code
