"""Every setting of a job as frozen values, with defaults and bounds."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    Field,
    PlainSerializer,
    PlainValidator,
    model_validator,
)
from pydantic_core import PydanticCustomError

from flatten.drawing.model import DxfVersion
from flatten.job.amounts import (
    Amount,
    AsText,
    CornerRadius,
    Fall,
    FlareDepth,
    GirthLength,
    Height,
    PrinterEdge,
    Thickness,
    along_text,
    is_number,
)
from flatten.job.closings import DartSettings, SeamSettings
from flatten.job.cutting import KerfSettings
from flatten.job.edge_lines import EdgeLineSettings
from flatten.job.finished import OwnShare
from flatten.job.finishes import FinishSettings
from flatten.job.fittings import FLEXED_NONE, FittingSettings, Flexed, MockupSettings
from flatten.job.formers import FormerSettings
from flatten.job.hardening import Hardening
from flatten.job.lames import LamesSettings
from flatten.job.leathers import GivenBed, GivenHides
from flatten.job.lining import GivenLining
from flatten.job.ornaments import MotifSettings, OrnamentSettings
from flatten.job.plates import PlateSettings
from flatten.job.points import Front, FrozenSettings, GivenJoint, Pick
from flatten.job.shop import ShopSettings
from flatten.job.sides import in_quarters
from flatten.job.sure import sure_from, sure_table
from flatten.leather.hardening import UNHARDENED
from flatten.limb.kind import KINDS, QUARTERS, ProximalLimb, tape_places
from flatten.report.sure import Sure
from flatten.sheet.paper import PRINTER_EDGE, Paper, Printing
from flatten.units import UnitError, length


def _tape_place(value: Any) -> Any:
    if isinstance(value, str) and value in tape_places():
        return value
    try:
        return length(value)
    except UnitError:
        places = ", ".join(f"'{place}'" for place in tape_places())
        raise ValueError(f"'{value}' is no place for a tape; write {places}, or a height such as '120 mm'") from None


AUTO: Final = "auto"
"""What a limb and a side are where nobody names them: told by the scan, or assumed."""


def _limb(value: Any) -> Any:
    if not isinstance(value, str) or value not in (AUTO, *KINDS):
        *names, last = (f"'{name}'" for name in (AUTO, *KINDS))
        raise PydanticCustomError("kind_of_limb", "it must be {kinds}", {"kinds": f"{', '.join(names)} or {last}"})
    return value


def _over(value: Any) -> float:
    return 0.0 if value == "skin" else length(value)


class Tape(FrozenSettings):
    """One girth read from a tape: at "widest", at a landmark that a tape can be laid round, or at a height."""

    at: Annotated[str | float, PlainValidator(_tape_place), AsText] = "widest"
    girth: GirthLength


class ScanSettings(FrozenSettings):
    """The scan, and what is known about it."""

    file: str
    unit: Literal["auto", "mm", "cm", "m", "in", "none"] = "auto"
    limb: Annotated[str, PlainValidator(_limb)] = AUTO
    side: Literal["auto", "left", "right"] = AUTO
    front: Front = "auto"
    pick: Pick = "auto"
    joint: GivenJoint = "auto"
    over: Annotated[float, BeforeValidator(_over), Field(ge=0.0, le=50.0), AsText] = 0.0
    tape: tuple[Tape, ...] = ()

    @model_validator(mode="after")
    def _height_0_has_no_height(self) -> ScanSettings:
        kind = KINDS.get(self.limb)
        if isinstance(self.joint, float) and isinstance(kind, ProximalLimb):
            raise ValueError(
                f"joint is a height, and the {kind.zero} is height 0 itself on the "
                f"{kind}; give a point of the scan on it, such as joint = {{ point = [0.1, 0.4, 0.2] }}"
            )
        return self


class OtherScan(FrozenSettings):
    """The scan of the other limb of a pair: of the same kind, and of the other side; no `file` where there is none."""

    file: str = ""
    unit: Literal["auto", "mm", "cm", "m", "in", "none"] = "auto"
    front: Front = "auto"
    pick: Pick = "auto"
    joint: GivenJoint = "auto"
    over: Annotated[float, BeforeValidator(_over), Field(ge=0.0, le=50.0), AsText] = 0.0
    tape: tuple[Tape, ...] = ()


class Quarters(FrozenSettings):
    """Amounts at the four quarters of the limb."""

    front: Amount = 0.0
    outside: Amount = 0.0
    back: Amount = 0.0
    inside: Amount = 0.0


def _all_round(value: Any) -> Any:
    """One amount for all four quarters, or a table of them."""
    if isinstance(value, dict | BaseModel):
        return value
    return dict.fromkeys(("front", "outside", "back", "inside"), value)


class WearSettings(FrozenSettings):
    """What is worn beneath, the ease on the girth, up to which width leather spans a section's hollows, what a
    flexed muscle adds to the girth, and `finished`, the maker's own correction by what finished pieces measured."""

    under: Annotated[Quarters, BeforeValidator(_all_round)] = Quarters(front=3.0, outside=3.0, back=3.0, inside=3.0)
    ease: Amount = 8.0
    hollows: Amount = 0.0
    flexed: Flexed = FLEXED_NONE
    finished: OwnShare = 0.0


def _limits(value: Any) -> Any:
    if isinstance(value, str | dict):
        return value
    raise ValueError(
        f"{value!r} is no set of limits; write 'cased', 'dry', a strip test's .toml or .csv file or four figures"
    )


def _room(value: Any) -> float:
    try:
        share = float(value)
    except (TypeError, ValueError):
        share = -1.0
    if isinstance(value, bool) or not 0.0 <= share <= 1.0:
        sentence = "it must be a share of the slack to the limits, from 0 (none is left) to 1 (all of it), such as 0.5"
        raise PydanticCustomError("room", sentence)
    return share


class LeatherSettings(FrozenSettings):
    """The leather: how thick, what it takes, which way its grain runs, where its neutral surface lies.

    `room` is the share of the slack that a piece can leave to all its limits at once which is left unused: 0 cuts as
    true to the limb as the limits let it, 1 with the least extremes of stretch.
    `aim` "most even" asks least of the leather where the pattern puts it; with "forms itself" it comes to rest within
    its limits when it is laid on the limb and let go, where a shape is found that does.
    `hardened` leather (by heat, after forming) is a stiff shell: it decides how the piece can be put on. `hardening` is
    by how much pieces are cut larger for what that takes off.
    """

    thickness: Thickness = 3.2
    limits: Annotated[str | dict[str, str | float], PlainValidator(_limits)] = "cased"
    grain: Literal["up the limb", "across the limb"] = "up the limb"
    room: Annotated[float, PlainValidator(_room)] = 0.5
    aim: Literal["most even", "forms itself"] = "most even"
    neutral: Annotated[float, Field(ge=0.3, le=0.6)] = 0.5
    hardened: bool = False
    hardening: Hardening = UNHARDENED

    @model_validator(mode="after")
    def _hardens_what_is_cut_larger(self) -> LeatherSettings:
        if self.hardening != UNHARDENED and not self.hardened:
            raise ValueError(
                "hardening cuts the pieces larger, and they are not to be hardened; write hardened = true too, or "
                f"hardening = '{UNHARDENED}'"
            )
        return self


def _edge_points(value: Any) -> Any:
    """[bearing in degrees, height] points once round the limb, by rising bearing."""
    if not isinstance(value, list | tuple):
        raise ValueError(f"{value!r} is no list of points; write [[0, '330 mm'], [120, '300 mm'], [240, '300 mm']]")
    points = [p for p in value if isinstance(p, list | tuple) and len(p) == 2 and is_number(p[0])]
    if len(points) < len(value) or len(points) == 1:
        raise ValueError("an edge's points are two or more of [bearing in degrees, height]")
    found = sorted((float(bearing) % 360.0, length(height)) for bearing, height in points)
    if len({bearing for bearing, _ in found}) < len(found):
        raise ValueError("two of an edge's points lie at one bearing; leave one of them out")
    return tuple(found)


class EdgeHeights(FrozenSettings):
    """An edge: its shape, and heights at the four quarters of the limb or through points of its own.

    `shape` "auto" is the trade's for the limb; "straight" runs level at `height`; "swept" is at `height` in front and
    `by` lower behind, half as much at the sides; "arched" is at `height` at the sides and `by` higher in front and
    behind. "auto" amounts are the trade's. A quarter's own height goes before the shape's. `points` ([bearing in
    degrees, height], two or more) stand in place of all that.
    """

    shape: Literal["auto", "straight", "swept", "arched"] = "auto"
    height: Height = None
    by: Fall = None
    front: Height = None
    outside: Height = None
    back: Height = None
    inside: Height = None
    points: Annotated[tuple[tuple[float, float], ...], PlainValidator(_edge_points), PlainSerializer(along_text)] = ()

    @model_validator(mode="after")
    def _says_one_thing(self) -> EdgeHeights:
        quarters = [name for name in QUARTERS if getattr(self, name) is not None]
        if self.points and (self.shape != "auto" or self.height is not None or self.by is not None or quarters):
            raise ValueError("the edge has points and also a shape or heights; leave one of them out")
        if self.shape == "auto" and (self.height is not None or self.by is not None):
            raise ValueError("height and by belong to a shape; write shape = 'straight', 'swept' or 'arched' too")
        if self.shape == "straight" and self.by is not None:
            raise ValueError("a straight edge has no 'by'; leave it out, or make the edge swept or arched")
        return self


class FlareSettings(FrozenSettings):
    """How far the leather turns outwards at an edge, and over which height; 0 leaves the edge as the limb is."""

    top: Amount = 0.0
    bottom: Amount = 0.0
    depth: FlareDepth = 25.0


class EdgeSettings(FrozenSettings):
    """The edges: "auto", one height all round, or heights at the quarters; their lips, and the lines along them."""

    top: Annotated[EdgeHeights, BeforeValidator(_all_round)] = EdgeHeights()
    bottom: Annotated[EdgeHeights, BeforeValidator(_all_round)] = EdgeHeights()
    flare: FlareSettings = FlareSettings()
    lines: EdgeLineSettings = EdgeLineSettings()
    finish: FinishSettings = FinishSettings()


class PieceSettings(FrozenSettings):
    """What the piece is called on its label (empty: by its limb, "shin guard"), its symmetry, whether a pair is cut.

    `symmetry` "own shape" leaves the leather as the limb is; "centre line" makes the two halves of each piece that lies
    across the front or the back mirror images, and two pieces that lie to the sides each other's.
    `pair` "mirrored" cuts the other limb's pieces too, as mirror images; "own scan" cuts them to the other limb's own
    scan ([other_scan]), and "mean" cuts mirror images for both limbs, from the mean of their two scans.
    `corners` is the radius that corners are rounded by, 0 for points; "auto" is 6 mm, and less where there is no room.
    `tooling` marks the zones that move too much in forming to be carved or stamped.
    """

    name: Annotated[str, Field(max_length=60)] = ""
    symmetry: Literal["own shape", "centre line"] = "own shape"
    pair: Literal["no", "mirrored", "own scan", "mean"] = "no"
    corners: CornerRadius = None
    tooling: bool = True


class OutputSettings(FrozenSettings):
    """How the files are made: the title on them (empty: the scan's name), the paper and what the printer leaves blank
    along its edges, the fineness.

    `dxf` is the version of the format, `kerf` what a machine's beam takes away and DXF and SVG count in.

    `bound` is whether the report tells what no pattern with these cuts can beat, `advice` whether it tells what to
    change where leather cannot follow; each takes some seconds. `fitting_record` is whether a page is
    made on which is written down what a try-on shows.
    """

    title: Annotated[str, Field(max_length=80)] = ""
    paper: Paper = "A4"
    printer_edge: PrinterEdge = PRINTER_EDGE
    dxf: DxfVersion = "R2010"
    kerf: KerfSettings = KerfSettings()
    mesh: Literal["fine", "quick"] = "fine"
    bound: bool = True
    advice: bool = True
    fitting_record: bool = False

    @property
    def printing(self) -> Printing:
        """What sheets are printed on."""
        return Printing(self.paper, self.printer_edge)


class Job(FrozenSettings):
    """All settings of one job. Sides may be told in the limb's own words ("palm side") wherever a quarter is told."""

    scan: ScanSettings
    other_scan: OtherScan = OtherScan()
    wear: WearSettings = WearSettings()
    leather: LeatherSettings = LeatherSettings()
    lining: GivenLining = None
    sure: Annotated[tuple[Sure, ...], PlainValidator(sure_from), PlainSerializer(sure_table)] = ()
    edges: EdgeSettings = EdgeSettings()
    seam: Annotated[tuple[SeamSettings, ...], Field(min_length=1)] = (SeamSettings(),)
    piece: PieceSettings = PieceSettings()
    former: FormerSettings = FormerSettings()
    dart: tuple[DartSettings, ...] = ()
    plate: tuple[PlateSettings, ...] = ()
    lames: tuple[LamesSettings, ...] = ()
    ornament: OrnamentSettings = OrnamentSettings()
    motif: tuple[MotifSettings, ...] = ()
    mockup: MockupSettings = MockupSettings()
    fitting: tuple[FittingSettings, ...] = ()
    hide: GivenHides = ()
    bed: GivenBed = None
    shop: ShopSettings = ShopSettings()
    output: OutputSettings = OutputSettings()

    @model_validator(mode="before")
    @classmethod
    def _sides_by_their_quarters(cls, table: Any) -> Any:
        return in_quarters(table)

    @model_validator(mode="after")
    def _a_pair_has_its_scans(self) -> Job:
        wanted = self.piece.pair in ("own scan", "mean")
        if wanted and not self.other_scan.file:
            raise ValueError(
                f"[piece] pair is '{self.piece.pair}' and there is no [other_scan] with the other limb's file"
            )
        if self.other_scan.file and not wanted:
            raise ValueError(
                f"there is an [other_scan] and [piece] pair is '{self.piece.pair}'; write pair = 'own scan' or 'mean', "
                f"or leave the scan out"
            )
        return self

    @model_validator(mode="after")
    def _lies_on_one_sort_of_ground(self) -> Job:
        if self.hide and self.bed is not None:
            raise ValueError("the job has a [hide] and a [bed]; lay its pieces on one of them, and leave the other out")
        return self

    @model_validator(mode="after")
    def _seams_have_names_of_their_own(self) -> Job:
        asked = (("seams", self.seam), ("darts", self.dart), ("plates", self.plate))
        names = [*(one.name for one in self.seam), *(one.name for one in self.dart), *(one.name for one in self.plate)]
        for name in names:
            if names.count(name) > 1:
                what = " or ".join(what for what, table in asked if table)
                raise ValueError(f"two {what} are called '{name}'; give each a name of its own")
        return self

    def other_settings(self, *, limb: str, side: str) -> ScanSettings:
        """What is known about the scan of the other limb of a pair, of this kind and side."""
        return ScanSettings(limb=limb, side=side, **dict(self.other_scan))
