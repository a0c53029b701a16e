"""The report in English: what is told of a job, and the headings over it."""

from __future__ import annotations

from flatten.units import NO_UNIT, inches, square_feet
from flatten.words.english.amounts import capital, listed, mm, percent, plural
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def title(job: str) -> str:
    """What stands over the page's window."""
    return f"{job}: Calfskin report"


def advice_lead(lead: str, use: str) -> str:
    """What stands over advice, and how it is followed."""
    return f"{lead} {use}"


def above(zero: str) -> str:
    """Over a column of heights."""
    return f"Above {named(zero)}, mm"


def girth_at(girth: str, length: float, where: str | None) -> str:
    """A named girth of the limb: "Widest calf 392 mm, 251 mm above the ankle"."""
    return f"{girth} {mm(length)}." if where is None else f"{girth} {mm(length)}, {where}."


def girth_name(girth: str) -> str:
    """A girth's name as a heading."""
    return capital(named(girth))


_UNITS_FROM = {
    "file": "as the file says",
    "given": "as you said",
    "guessed": "a guess from its size",
    "tape": "as the tape girth settles",
}


def file_unit(file: str, unit: str, unit_from: str) -> str:
    """The scan's file, its unit, and how that is known."""
    if unit == NO_UNIT:
        return f"“{file}” has no size of its own: its size is that of the tape girths."
    return f"“{file}” is in {unit}, {_UNITS_FROM[unit_from]}."


def scaled(scale: float) -> str:
    """What a tape made of the scan's size."""
    return f"It was scaled by {scale:.4f} to match the tape."


def front(front_from: str) -> str:
    """How a limb's front is known."""
    return "was given" if front_from == "given" else f"is known from the {named(front_from)}"


def limb(side: str, kind: str, front: str) -> str:
    """Which limb it is."""
    return f"It is a {named(side)} {named(kind)}; its front {front}."


_HOW = {
    "ankle": "Slide a tape up and down above the ankle bones until it reads least{reads}, and mark the leg there.",
    "wrist": "Slide a tape up and down above the wrist’s crease until it reads least{reads}, mostly 5 to 20 mm above "
    "that crease, and mark the arm there.",
    "kneecap": "Stretch the leg, let the thigh hang loose, feel the upper rim of the kneecap, and mark it{reads}.",
    "elbow": "Bend the arm a little, mark the crease in the hollow of the elbow{reads}, and stretch it again.",
}


def zero_how(landmark_or_widest: str, reads: float | None) -> str:
    """How height 0 is found on a body, and what a tape reads there on the scan."""
    least = "" if reads is None else f" ({reads:.0f} mm by the scan)"
    how = _HOW.get(landmark_or_widest, f"Mark {named(f'zero place.{landmark_or_widest}')}{{reads}}.")
    return how.format(reads=least)


def zero(zero: str, how: str, below: float | None, sigma: float | None, bone: bool) -> str:
    """What heights count from, how far above the outer ankle bone that is, and how it is found."""
    place = named(zero.replace("zero.", "zero place."))
    told = ""
    if below is not None and sigma is not None:
        told = f", here about {below:.0f} mm (± {sigma:.0f}) above the middle of the outer ankle bone"
    elif bone:
        told = "; the scan does not show how far that is above the ankle bone"
    return f"All heights count from {place}{told}. {how}"


def zero_doubt(zero: str, sigma: float) -> str:
    """How sure the place of height 0 is, and what to do about it."""
    return (
        f"The shape tells the place of {named(zero)} to about ± {sigma:.0f} mm. Mark it on the limb and measure from "
        "there; where it differs, give the edges’ heights."
    )


def joint_doubt(landmark: str, where: str, sigma: float) -> str:
    """How sure the place of a joint is, and what to do about it."""
    return (
        f"Its {named(landmark)} is taken to be {where}, to about ± {sigma:.0f} mm. Measure it on the limb; where it "
        "differs, give the top edge’s heights."
    )


def fit(rms: float, p99: float, smoothed: str | None, bridged: float | None) -> str:
    """How near the smooth surface lies to the scan, and what share of it has no scan beneath it (None: nothing)."""
    missing = "The scan shows all of it."
    if bridged is not None:
        missing = f"The scan does not show {percent(bridged)} of it, which is bridged."
    return (
        f"The smooth limb that is measured lies {rms:.2f} mm from the scan on average, and within {p99:.2f} mm at 99 "
        f"of 100 points. {'' if smoothed is None else f'{smoothed} '}{missing}"
    )


def smoothed(ripples: float, noise: float) -> str:
    """What was taken for the scan's noise, and what is left of it (mm)."""
    return (
        f"Ripples shorter than {ripples:.0f} mm were taken for the scan’s noise and smoothed away; about ± {noise:.2f} "
        "mm of it is left."
    )


def worn(
    least: float, most: float, ease: float, thickness: float, offset: float, lining: str | None, over: str | None
) -> str:
    """What lies between skin and leather, and how far out the leather's mid-line is."""
    layer = mm(least) if least == most else f"{least:.0f} to {mm(most)}"
    said = (
        f"Beneath the leather lie {layer} of padding and clothing, the girth has {mm(ease)} of ease, and the leather "
        f"is {thickness:.1f} mm thick. The middle of its thickness, which bending leaves as long as it is, lies "
        f"{offset:.1f} mm off the skin; the piece is made to that."
    )
    return " ".join([said, *(more for more in (lining, over) if more is not None)])


def worn_over(over: float) -> str:
    """What was worn for the scan, and what that does to the girths."""
    return (
        f"For the scan {over:g} mm were worn, which are taken off it first; the girths told are those over them. Cloth "
        "spans hollows: there, and in the hollow of a joint, the skin may lie deeper."
    )


def overlaps(piece: str) -> str:
    """A flat piece that cannot be cut."""
    return f"“{piece}” overlaps itself when flat, so it cannot be cut as one; add a seam or move an edge."


def unfinished(piece: str) -> str:
    """A flat piece that the solver was not done with."""
    return f"“{piece}” was not quite finished: it may come out better than its figures here."


def of_limb(piece: str, side: str) -> str:
    """A piece by its name and its limb's side."""
    return f"{piece}, {named(side)}"


def piece_title(piece: str, side: str) -> str:
    """A piece's name and side as a heading."""
    return f"{capital(piece)}, {named(side)}"


def piece_titles(piece: str, sides: tuple[str, ...]) -> str:
    """A piece's name and the sides that it is cut for as a heading."""
    return f"{capital(piece)}, {listed(tuple(named(side) for side in sides))}"


def piece_size(
    width: float, height: float, area: float, cut: float, holes: tuple[str, ...], after: tuple[str, ...]
) -> str:
    """Size, area, length of the cut (mm) and holes of a piece; those that come `after` forming apart."""
    said = (
        f"{width:.0f} mm wide and {mm(height)} high ({inches(width):.1f} × {inches(height):.1f} in), "
        f"{square_feet(area):.2f} sq ft, {cut / 1000:.2f} m to cut"
    )
    said += f". Punch it flat: {listed(holes)}." if holes else ", no holes to punch flat." if after else ", no holes."
    if not after:
        return said
    return f"{said} Mark when formed, through the layer on it: {listed(after)}."


def piece_line(title: str, size: str) -> str:
    """A piece in one line."""
    return f"{title}: {size}"


def holes(hole: str, diameter: float, count: int) -> str:
    """Round holes of one kind and size."""
    return f"{count} {named(hole)} hole{plural(count)} of {diameter:g} mm"


def slots(width: float, shortest: float, longest: float, count: int) -> str:
    """Slots of one width."""
    one = f"{round(longest, 1):g}"
    lengths = one if f"{round(shortest, 1):g}" == one else f"{round(shortest, 1):g} to {one}"
    return f"{count} round-ended slot{plural(count)} {width:g} mm wide and {lengths} mm long"


def mirror_images(piece: str, mate: str, moved: str) -> str:
    """Two pieces that were made mirror images."""
    return f"“{named(piece)}” and “{named(mate)}” were made mirror images of one another{moved}"


def equal_halves(piece: str | None, moved: str, line: str) -> str:
    """A piece that was given two equal halves, and where its centre line sits."""
    alone = "The piece" if piece is None else f"“{named(piece)}”"
    return f"{alone} has two equal halves{moved} {line}"


def hardly_moved(most: float) -> str:
    """That halves are equal nearly by themselves."""
    return f", as the limb nearly has them: no edge moved by more than {most:.1f} mm."


def moved(most: float, mean: float) -> str:
    """How far halves moved to be equal."""
    return f": to meet half-way, the edges of each moved by {most:.1f} mm at most and {mean:.1f} mm on average."


def centred(line: str) -> str:
    """That a centre line sits on a line of the limb."""
    return f"Worn, its centre line lies on {line}."


def off_centre(line: str, off: float, where: str) -> str:
    """How far a centre line sits off a line of the limb."""
    return f"Worn, its centre line sits up to {off:.1f} mm off {line}, {where}."


def line(line: str) -> str:
    """A line of the limb that makers know by name."""
    return named(line)


def middle(side: str) -> str:
    """The line up the middle of a side."""
    return f"the middle of the {named(side)}"


def second_limb(side: str, kind: str, widest: float, first_side: str, first_widest: float) -> str:
    """That a pair's pieces are cut each to its own limb."""
    return (
        f"The {named(side)} {named(kind)} was scanned too, and its pieces are cut to its own shape: its widest girth "
        f"is {widest:.0f} mm, where the {named(first_side)} one’s is {first_widest:.0f} mm."
    )


def second_verdict(stretch: str, judged: str) -> str:
    """What a second limb's piece asks, and whether the leather takes it."""
    return f"{stretch} {judged}"


def second_seam(side: str, seam: str) -> str:
    """How a second limb's seam is closed."""
    return f"On the {named(side)}, {seam}"


def bound_of_first(side: str, kind: str) -> str:
    """Which limb's bound was worked out."""
    return f"What no pattern can beat was worked out for the {named(side)} {named(kind)} alone."


def mean(apart: float, where: str, wider: str, more: float) -> str:
    """How far two limbs are apart whose mean the pieces are made for."""
    return (
        f"Both pieces are made for the mean of the two limbs. Their skins are up to {apart:.1f} mm apart, {where}, so "
        f"each lies half of that off the mean; at the widest the {named(wider)} one has {more:.0f} mm more girth."
    )


def bench_caption(side: str, kind: str, front: str, zero: str) -> str:
    """What the bench shows, and how to read it."""
    return (
        f"The {named(side)} {named(kind)} from the {named(front)}, beside a ruler in mm above {named(zero)}, and its "
        "leather laid flat, grain side up. A line joins each height on the limb to the same height on the leather."
    )


SENTENCES: dict[str, Sentence] = {
    "report.title": title,
    "report.girth": girth_at,
    "report.girth name": girth_name,
    "report.file": file_unit,
    "report.scaled": scaled,
    "report.front": front,
    "report.limb": limb,
    "report.not repaired": fixed("Nothing had to be repaired."),
    "report.zero": zero,
    "zero.how": zero_how,
    "report.zero doubt": zero_doubt,
    "report.joint doubt": joint_doubt,
    "report.fit": fit,
    "report.smoothed": smoothed,
    "report.worn": worn,
    "report.worn over": worn_over,
    "report.overlaps": overlaps,
    "report.unfinished": unfinished,
    "report.of limb": of_limb,
    "report.piece title": piece_title,
    "report.piece titles": piece_titles,
    "report.piece size": piece_size,
    "report.piece line": piece_line,
    "report.holes": holes,
    "report.slots": slots,
    "report.mirror images": mirror_images,
    "report.equal halves": equal_halves,
    "report.hardly moved": hardly_moved,
    "report.moved": moved,
    "report.centred": centred,
    "report.off centre": off_centre,
    "report.line": line,
    "report.middle": middle,
    "report.second limb": second_limb,
    "report.second verdict": second_verdict,
    "report.second seam": second_seam,
    "report.advice of both": fixed(
        "Each change that is advised was tried on both limbs; its figures are of both together."
    ),
    "report.bound of first": bound_of_first,
    "report.mean": mean,
    "report.no advice": fixed(
        "Edges, lips, lacing gap, seams, darts and thickness were tried: no change helps enough."
    ),
    "report.only just": fixed(
        "The leather follows, but only just. Any one of these changes gives it room, most gain for its cost first."
    ),
    "report.any of these": fixed("Any one of these changes helps, most gain for its cost first."),
    "report.advice use": fixed(
        "Put its lines into the job file in place of those of the same name (of double brackets: of all with that "
        "name), and make the job again."
    ),
    "report.advice lead": advice_lead,
    "report.heading.advice": fixed("What to change"),
    "report.heading.room": fixed("For more room"),
    "report.heading.binding": fixed("What holds the stretch up"),
    "report.heading.regions": fixed("Region by region"),
    "report.heading.letting go": fixed("Laid on the limb and let go"),
    "report.heading.strips": fixed("Your strip test"),
    "report.heading.pieces": fixed("What will be cut"),
    "report.heading.ornament": fixed("Room for ornament"),
    "report.heading.closing": fixed("How it closes"),
    "report.heading.uses": fixed("What it is for"),
    "report.heading.limb": fixed("The limb"),
    "report.heading.scan": fixed("The scan"),
    "report.heading.wearing": fixed("Putting it on and wearing it"),
    "report.heading.cautions": fixed("Before you cut, form and wear"),
    "report.heading.settings": fixed("How this job is set"),
    "report.colours": fixed(
        "Colours: blue where the leather is squeezed, orange where it is stretched, hatched beyond the limits."
    ),
    "report.squeezed": fixed("squeezed, %"),
    "report.stretched": fixed("stretched, %"),
    "report.beyond": fixed("beyond the limits"),
    "report.no tooling": fixed("not to be carved or stamped"),
    "report.bench caption": bench_caption,
    "report.leather caption": fixed(
        "The leather laid flat, grain side up. Each line over it lies at one height on the limb."
    ),
    "report.patch caption": fixed("The two figures mark where the leather stretches and is squeezed most."),
    "report.binding caption": fixed(
        "A seam, a dart or an edge across these arrows gives it room; another outline does not."
    ),
    "report.column.height": above,
    "report.column.place": fixed("Place"),
    "report.column.tape mm": fixed("Tape, mm"),
    "report.column.tape in": fixed("Tape, in"),
    "report.column.mid-line": fixed("Middle of the leather, mm"),
}
