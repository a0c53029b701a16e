"""An invented calf, from formulas: skin, neutral surface, one flat panel, its piece and its report."""

from dataclasses import replace

import numpy as np

from flatten.findings import finding
from flatten.leather.bending import tightest_bend
from flatten.leather.limits import PRESETS
from flatten.leather.stretch import stretch_report
from flatten.limb.girths.girth import girth_table
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb
from flatten.limb.surface.model import LimbSurface
from flatten.pattern.model import Hole, Label, Path, Piece
from flatten.report.model import JobReport, LimbReport, PanelReport, Setting
from flatten.scan.model import Scan
from flatten.unwrap.model import Limits
from flatten.unwrap.panel import flatten_panel
from flatten.worn.curves import Edge, Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.neutral import Wear, neutral_surface

QUARTERS = np.arange(4) * np.pi / 2
HARD_WORK = Limits(0.06, 0.06, 0.04, 0.04, "given")
WEAR = Wear(under=(3.0, 3.0, 3.0, 3.0), ease=8.0, thickness=3.2, neutral=0.5)


def calf_skin():
    """A lower leg of 386 mm at its widest: a calf that swells backwards, and an ankle that flares to the instep."""
    columns = 30
    knots = np.r_[[-30.0] * 3, np.linspace(-30.0, 390.0, 43), [390.0] * 3]
    heights = np.array([knots[i + 1 : i + 4].mean() for i in range(len(knots) - 4)])[:, None]
    bearings = (np.arange(columns) * 2 * np.pi / columns)[None]
    swell = np.exp(-(((heights - 245.0) / np.where(heights < 245.0, 95.0, 190.0)) ** 2))
    instep = np.exp(-(((heights + 60.0) / 40.0) ** 2))
    radii = 34.0 + 0.038 * np.maximum(heights, 0.0) + swell * (17.0 - 6.0 * np.cos(bearings) + 1.5 * np.sin(bearings))
    radii = radii + 25.0 * instep * (0.4 + np.cos(bearings)) + 1.5 * np.cos(2 * bearings)
    return LimbSurface(knots, radii, np.zeros((len(heights), 2)), (-25.0, 385.0), 0.12, 0.41, 0.031, ())


def calf_report(*, side="left", edge_length=6.0, limits="cased", bottom=(35.0, 15.0, 35.0, 15.0)):
    skin = calf_skin()
    worn = neutral_surface(skin, WEAR).surface
    panels = cut_panels(
        worn,
        Cuts(
            Edge("bottom edge", QUARTERS, np.array(bottom)),
            Edge("top edge", QUARTERS, np.array([330.0, 300.0, 270.0, 300.0])),
            (Seam("back", "laced", 25.0, np.array([0.0]), np.array([np.pi])),),
        ),
        edge_length=edge_length,
    )
    flats = [flatten_panel(panel, limits=HARD_WORK) for panel in panels]
    axes = np.array([[0.0, 0, 1], [1, 0, 0], [0, 1, 0]]) * (
        np.array([[1.0], [1], [1]] if side == "left" else [[1.0], [-1], [1]])
    )
    limb = Limb(
        LOWER_LEG,
        side,
        Frame(np.zeros(3), axes),
        (Landmark("ankle", 0.0), Landmark("widest", 284.0), Landmark("knee", 365.0)),
        "foot",
    )
    scan = Scan(
        "watch-leg.ply",
        skin.points(np.linspace(-25.0, 385.0, 40), np.linspace(0.0, 40.0, 40)),
        np.zeros((40, 3)),
        np.zeros((0, 3), int),
        "mm",
        "guessed",
        1.004,
        52_110,
        (
            finding("scan.welded", "note", count=12, within=0.01),
            finding("scan.floor", "note", count=811, of="faces"),
        ),
    )
    report = LimbReport(
        scan=scan,
        limb=limb,
        skin=skin,
        girths=girth_table(limb, skin),
        worn=worn,
        worn_girths=girth_table(limb, worn),
        panels=tuple(
            PanelReport(
                flat,
                stretch_report(flat, kind=LOWER_LEG, limits=PRESETS[limits]),
                tightest_bend(flat.panel, surface=worn, thickness=3.2, neutral=0.5),
                None,
                (372.0, 399.0),
            )
            for flat in flats
        ),
        pieces=tuple(piece_of(flat, side) for flat in flats),
        findings=(finding("tape.unit guessed", "look", unit="mm"),),
    )
    settings = (
        Setting("wear.under", "3 mm"),
        Setting("leather.thickness", "8 oz"),
        Setting("leather.limits", limits),
    )
    return JobReport("Harbour watch, reed guard <left> & right", (report,), WEAR, settings)


def with_limb(report, **changes):
    """The report with its one limb changed."""
    (limb,) = report.limbs
    return replace(report, limbs=(replace(limb, **changes),))


def piece_of(flat, side):
    hand = 1.0 if side == "left" else -1.0
    rim = flat.uv[np.concatenate([boundary.vertices[:-1] for boundary in flat.panel.boundaries])] * [hand, 1.0]
    holes = []
    for boundary in flat.panel.boundaries:
        if boundary.kind == "laced":
            inward = 12.0 if boundary.side == "low" else -12.0
            line = flat.uv[boundary.vertices]
            steps = np.linspace(0, len(line) - 1, 11)[1:-1].astype(int)
            holes += [Hole(hand * (x + inward), y, 5.0, "eyelet", boundary.name, boundary.side) for x, y in line[steps]]
    label = Label(0.0, 150.0, 8.0, 0.0, "grain side up")
    return Piece(
        flat.panel.name, side, Path(rim, np.zeros(len(rim)), closed=True), tuple(holes), (), (label,), WEAR.thickness
    )
