"""The report's sentences: verdicts, lengths and amounts as a maker would say them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from flatten.leather.bending import LEAST_RADIUS
from flatten.leather.model import VERDICTS, Bend, Reading, StretchReport, StripTest
from flatten.leather.stretch import squeeze_sentence, stretch_sentence
from flatten.limb.girths.girth import Girth
from flatten.limb.kind import LimbKind
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.limb.words import height_words, place, zero_name
from flatten.report.model import Advised, PanelReport
from flatten.scan.model import Scan
from flatten.units import inches, share_text, square_feet
from flatten.unwrap.model import Limits
from flatten.words.say import name, text, texts
from flatten.worn.neutral import Wear
from flatten.worn.wearing import FitRange

WASTE_SHARE = 0.25
"""Share of the pieces' area that is bought on top, for offcuts and flaws of the hide. From memory."""

VERDICT_WORDS = {
    "dry": "dry",
    "cased": "cased (wet)",
    "hard": "hard work",
    "not": "not to be expected",
}
"""How a region can be formed, in a few words; one for each of VERDICTS."""


def percent(ratio: float, *, signed: bool = False) -> str:
    """A share as text with one decimal: "4.1 %", or "+4.1 %" and "−2.0 %" when signed."""
    text = f"{100 * ratio:+.1f} %" if signed else share_text(ratio, 1)
    return text.replace("-0.0", "0.0").replace("+0.0", "0.0").replace("-", "−")


def percent_range(low: float, high: float) -> str:
    """Two stretches (worn / flat) as growth, "−0.6 to +1.2 %"; one figure where both read the same."""
    first, last = percent(low - 1.0, signed=True), percent(high - 1.0, signed=True)
    text = last if first == last else f"{first.removesuffix(' %')} to {last}"
    return text.replace(" %", "\N{NO-BREAK SPACE}%")


def mm(value: float) -> str:
    """A length in whole millimetres, "392 mm"."""
    return f"{value:.0f} mm".replace("-0 ", "0 ").replace("-", "−")


def mm_and_inches(value: float) -> str:
    """A length in whole millimetres and tenths of an inch, "392 mm (15.4 in)"."""
    return f"{mm(value)} ({inches(value):.1f} in)"


def girth_name(limb: Limb, girth: Girth) -> str:
    """A girth's name as a heading: "Widest calf", "Ankle", "Top edge"; "" where it has none of its own."""
    own = name(limb.kind.widest) if girth.name == "widest" else girth.name
    return own[:1].upper() + own[1:]


def worst(panels: Sequence[PanelReport]) -> StretchReport:
    """The stretch of the panel, of one at least, with the gravest verdict, and among equals of the one furthest over
    its limits."""
    return max((panel.stretch for panel in panels), key=lambda s: (VERDICTS.index(s.verdict), s.excess_patch))


def headline(panels: Sequence[PanelReport]) -> str:
    """Whether the leather takes the shape, in one sentence, of the piece that asks most of it; one at least."""
    return verdict_sentence(worst(panels))


def verdict_sentence(found: StretchReport) -> str:
    """Whether the leather takes the shape of one panel, in one sentence."""
    if found.verdict == "dry":
        return "This can be formed dry."
    if found.verdict == "cased":
        return (
            "This can be formed cased (wet)."
            if found.fits
            else "Not dry, as the job asks; cased (wet) it can be formed."
        )
    if found.verdict == "hard":
        return "This is hard work: beyond the leather’s limits, and only a former and clamps may reach it."
    return "This leather cannot be expected to take the shape. Move an edge, or open it at one more seam."


def stretch_sentences(stretch: StretchReport, *, piece: str | None) -> str:
    """Stretch and squeeze of one panel, and its share beyond the limits; `piece` names it where there are several."""
    asked = stretch_sentence(stretch)
    lead = _capital(asked) if piece is None else f"In the piece “{piece}” {asked}"
    squeeze = "" if "squeezed by" in lead else f"; {squeeze_sentence(stretch)}"
    if not stretch.over_share:
        return f"{lead}{squeeze}. All of it lies within the limits."
    return f"{lead}{squeeze}. {percent(stretch.over_share)} of the piece lies beyond the limits."


def limits_sentence(limits: Limits) -> str:
    """The limits in force and where they come from."""
    source = {
        "strip test": "They come from your strip test; a strip cannot show squeeze, which is an opinion.",
        "given": "They are your own figures.",
    }.get(limits.source, f"They are the preset “{limits.source}”, an opinion: strips of your own leather tell better.")
    along = f"{percent(limits.stretch_along)} of stretch and {percent(limits.squeeze_along)} of squeeze"
    across = f"{percent(limits.stretch_across)} of stretch and {percent(limits.squeeze_across)} of squeeze"
    if along == across:
        return f"The limits in force are {along}, along the grain and across it. {source}"
    return f"The limits in force are {along} along the grain, {across} across it. {source}"


_SHRANK = (
    "Unloaded strips shrank by {} in drying. The pieces are drawn that much larger, so that they fit when they have "
    "dried; a try-on in paper is that much too large."
)


def strip_sentences(test: StripTest) -> list[str]:
    """What the home stretch test found, a sentence for each figure that was read."""
    sentences = [
        f"The strips, {test.width:.0f} mm wide and {test.thickness:.1f} mm thick, carried {test.load_kg:g} kg "
        f"({test.stress:.1f} N/mm²). A harder pull stretches leather further: the limits hold for this one."
    ]
    told = (
        (test.dry, "Dry, they stretched by {}."),
        (test.wet, "Cased, they stretched by {}."),
        (test.kept, "After drying and unloading, {} of stretch stayed."),
        (test.springback, "Of the stretch, {} sprang back: form that much further over the former."),
        (test.shrinkage, _SHRANK),
    )
    for pair, words in told:
        read = [
            f"{_reading(reading)} {direction} the grain"
            for reading, direction in zip(pair, ("along", "across"), strict=True)
            if reading is not None
        ]
        if read:
            sentences.append(words.format(" and ".join(read)))
    return sentences


def least_sentence(
    least_spread: float, spread: float, reachable: float, *, cause: str | None = None, piece: str | None = None
) -> str:
    """What no pattern with these cuts can do without, beside what this one asks and could do with (all log-ratios).

    A piece is cut as true to the limb as its limits let it, so it may ask for more than is `reachable` (NaN: not
    known). `cause` is what asks for it; `piece` names the piece where there are several.
    """
    this = "this piece" if piece is None else f"the piece “{piece}”"
    lead = f"The stretch of {this} differs by {percent(_grown(spread))} from its least to its most stretched place"
    if math.isfinite(reachable) and percent(_grown(reachable)) != percent(_grown(spread)):
        lead += f" and need differ by only {percent(_grown(reachable))}"
    if percent(_grown(least_spread)) == percent(0.0):
        return f"{lead}; nothing was found in the limb’s shape that asks for it."
    least = f"no pattern with these cuts needs less than {percent(_grown(least_spread))}"
    held = "" if cause is None else f" What asks for it is {cause}."
    return f"{lead}; {least}, by a lower bound computed on a mesh of 8 mm.{held}"


def bound_sentence(panel: PanelReport, *, piece: str | None) -> str:
    """`least_sentence` of a panel, "" where no bound was computed; `piece` names it where there are several."""
    if panel.least_spread is None:
        return ""
    cause = None if panel.binding is None else text(panel.binding.cause)
    return least_sentence(
        panel.least_spread, panel.stretch.spread, panel.flat.spread_reachable, cause=cause, piece=piece
    )


def advice_lead(panels: Sequence[PanelReport], advice: Sequence[Advised] | None) -> str:
    """What stands over the advice about panels; "" where none was looked for or none is needed."""
    fits = all(panel.stretch.fits for panel in panels)
    if advice is None or (fits and not advice):
        return ""
    if not advice:
        return "None of the changes that were tried helps enough: edges, lips, lacing gap, seams, darts, thickness."
    if fits and not any(panel.flat.overlaps for panel in panels):
        return "The leather follows, but only just. Any one of these gives it room, the best for its cost first."
    return "Any one of these helps, the best for its cost first."


ADVICE_USE = (
    "Put its lines into the job file: each in place of the line of that name under the same heading, and headings in "
    "double brackets in place of all of that name. Then make the job again."
)
"""How a piece of advice is followed from the job file."""


def bend_sentence(bend: Bend, *, kind: LimbKind) -> str:
    """The tightest bend round the limb against the leather's thickness."""
    return (
        f"The tightest bend round the limb lies {place(kind, height=bend.height, bearing=bend.bearing)}: inside "
        f"radius {mm(bend.radius)}, {bend_judged(bend.radius, thickness=bend.thickness)}. It adds "
        f"{percent(bend.strain)} to the stretch of the grain side there."
    )


def bend_judged(radius: float, *, thickness: float) -> str:
    """An inside radius of a bend as a multiple of the leather's thickness, and whether leather takes it."""
    share = radius / thickness
    if share >= LEAST_RADIUS["dry"]:
        judged = "which it takes dry"
    elif share >= LEAST_RADIUS["cased"]:
        judged = "too tight for dry leather; case it"
    else:
        judged = "too tight even for cased leather; use thinner leather there or skive it"
    return f"{share:.1f} times the thickness, {judged}"


def girth_sentences(limb: Limb, girths: Sequence[Girth]) -> list[str]:
    """The named girths of the limb: "Widest calf 392 mm, 251 mm above the ankle"."""
    return [
        f"{girth_name(limb, girth)} {mm(girth.tape)}"
        + (f", {height_words(limb.kind, girth.height)}." if round(girth.height) else ".")
        for girth in landmark_girths(limb, girths)
    ]


def landmark_girths(limb: Limb, girths: Sequence[Girth]) -> list[Girth]:
    """The girths at the limb's landmarks, in their order."""
    names = [mark.name for mark in limb.landmarks]
    return [girth for girth in girths if girth.name in names]


def worn_sentence(wear: Wear) -> str:
    """What lies between skin and leather, and how far out the leather's mid-line is."""
    under = sorted(set(wear.under))
    layer = mm(under[0]) if len(under) == 1 else f"{under[0]:.0f} to {mm(under[-1])}"
    return (
        f"Beneath the leather lie {layer} of padding and clothing, the girth has {mm(wear.ease)} of ease, and the "
        f"leather is {wear.thickness:.1f} mm thick. So the line in it that bending leaves alone lies "
        f"{mean_offset(wear):.1f} mm off the skin, and the piece is made to that line.{_over_sentence(wear.over)}"
    )


def _over_sentence(over: float) -> str:
    """What was worn for the scan, and what that does to the girths; "" for bare skin."""
    if not over:
        return ""
    return (
        f" For the scan {over:g} mm were worn: they are taken off it first and so not counted twice. The girths of the "
        "limb are those over them. Cloth spans hollows: in one, and in the hollow of a joint, the skin may lie deeper."
    )


def mean_offset(wear: Wear) -> float:
    """Mean distance (mm) of the neutral surface from the skin, over a full turn."""
    return float(wear.offset(np.linspace(0.0, 2 * np.pi, 360, endpoint=False)).mean()) + wear.over


HALF_KEPT = 5.04
"""Wavelength that a fit keeps half of, in units of its smoothing: 2π/u where 1 − (1 − 1/(1 + u⁴))² is a half."""


def fit_sentence(skin: LimbSurface) -> str:
    """How near the smooth surface lies to the scan, and how much of it has no scan beneath it."""
    bridged = f"{percent(skin.bridged_share)} of it spans places that the scan does not show."
    whole = "The scan shows all of it."
    return (
        f"The smooth surface that is measured lies {skin.rms:.2f} mm from the scan on average, and within "
        f"{skin.p99:.2f} mm at 99 of 100 points. {_smoothed(skin)}{bridged if skin.bridged_share >= 0.0005 else whole}"
    )


def _smoothed(skin: LimbSurface) -> str:
    """What was taken for the scan's noise, and what is left of it; "" for a surface that no fit made."""
    if skin.smoothing == 0.0:
        return ""
    return (
        f"By the noise that the scan shows, ripples below {HALF_KEPT * skin.smoothing:.0f} mm are smoothed away; "
        f"about ± {max(0.01, skin.noise_left):.2f} mm of noise is left. "
    )


def scan_sentences(scan: Scan, limb: Limb) -> list[str]:
    """The file, how its unit and the front are known, the scale, and each thing that was done to the scan."""
    unit = {
        "file": "as the file says",
        "given": "as you said",
        "guessed": "a guess from its size",
        "tape": "as the tape girth settles",
    }[scan.unit_from]
    sentences = [f"“{scan.file}” is in {scan.unit}, {unit}."]
    if scan.scale != 1.0:
        sentences.append(f"It was scaled by {scan.scale:.4f} to match the tape.")
    sentences.append(f"It is a {limb.side} {limb.kind}; its front {front_words(limb)}.")
    return [*sentences, *joint_sentences(limb), *(texts(scan.repairs) or ["Nothing had to be repaired."])]


def front_words(limb: Limb) -> str:
    """How a limb's front is known: "is known from the foot"."""
    return "was given" if limb.front_from == "given" else f"is known from the {limb.front_from}"


def joint_sentences(limb: Limb) -> list[str]:
    """How sure the place of each joint is that no girth shows, and what to do about it; where no caution tells it."""
    sentences = []
    for mark in limb.landmarks:
        if not mark.sigma or mark.name in limb.guessed:
            continue
        if mark == limb.landmarks[0]:
            sentences.append(
                f"Heights count from {zero_name(limb.kind)}, whose place the shape tells to about "
                f"± {mark.sigma:.0f} mm. Mark it on the limb and measure from there; where it differs, give the edges’ "
                "heights."
            )
        else:
            sentences.append(
                f"Its {mark.name} is taken to be {height_words(limb.kind, mark.height)}, which shape and proportions "
                f"tell to about ± {mark.sigma:.0f} mm. Measure it on the limb; where it differs, give the top edge’s "
                "heights."
            )
    return sentences


def trouble_sentences(panels: Sequence[PanelReport], names: Sequence[str]) -> list[str]:
    """What stands in the way of cutting the panels' pieces, called by `names`, apart from the stretch."""
    troubles = []
    for panel, title in zip(panels, names, strict=True):
        if panel.flat.overlaps:
            troubles.append(
                f"The flat piece “{title}” overlaps itself, so it cannot be cut as one; add a seam or move an edge."
            )
        if not panel.flat.converged:
            troubles.append(
                f"The flat piece “{title}” was not finished: its figures may be better than they are shown here."
            )
    return troubles


def closing_range_sentence(fit: FitRange, *, kind: LimbKind) -> str:
    """The range of widest girths on which the laces, straps or both of the pieces of one limb close."""
    way = "laced" if not fit.strapped else "strapped" if not fit.laced else "laced and strapped"
    return f"It can be {way} on a {kind} whose widest girth lies between {fit.least:.0f} and {mm(fit.most)}."


def leather_sentence(area: float, *, mass: float, thickness: float) -> str:
    """How much leather to buy for pieces of `area` mm² together, and what they weigh."""
    return (
        f"The pieces take {square_feet(area):.2f} sq ft ({area / 100:.0f} cm²) of leather {thickness:.1f} mm thick and "
        f"weigh about {mass:.0f} g. With a quarter added for offcuts and flaws, buy at least "
        f"{square_feet(area * (1 + WASTE_SHARE)):.1f} sq ft, in a form that the largest piece fits on."
    )


def _reading(reading: Reading) -> str:
    if percent(reading.least) == percent(reading.greatest):
        return percent(reading.mean)
    return f"{percent(reading.mean)} ({percent(reading.least)} to {percent(reading.greatest)})"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _grown(log_ratio: float) -> float:
    return math.expm1(log_ratio)
