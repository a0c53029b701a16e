"""The cautions that everyone meets who makes or wears a piece."""

from __future__ import annotations

from flatten.limb.kind import LimbKind

NOT_PROTECTIVE = (
    "This is a costume piece, not protective equipment. Do not fight in it: organised fighting has its own rules "
    "and inspects its own gear."
)

_LEG_NERVE = (
    "A nerve lies right under the skin at the outer side just below the knee (the common peroneal nerve, at the head "
    "of the fibula). Keep edges and straps off that place and out of the hollow of the knee."
)

_NUMB = (
    "Numbness, tingling, a change of colour or weakness in the limb: take the piece off at once. If it does not go "
    "away, see a clinician."
)

_HEAT = (
    "Never put hot or hot-wet leather on a body; form it on a former. The heat that hardens leather (76 to 82 °C) "
    "scalds: use tongs and thick gloves."
)

_BLADES = "Use a sharp blade, cut away from yourself, and put a board behind knife and punch."

_SOLVENTS = "Dyes and finishes with solvents need open windows, gloves, and no flame near; heed their labels."

_LASER = (
    "Never cut chrome-tanned leather with a laser: its smoke is poisonous. Vegetable-tanned leather needs extraction "
    "and somebody beside the machine too; follow the machine’s manual and your local rules."
)

_PRIVATE = (
    "A scan is a picture of a body: scan only somebody who agrees, and delete what is no longer needed. It stays on "
    "this computer, and so do these files unless you pass them on."
)

_LOCAL = "Local rules on tools, chemicals, lasers and events go before anything that is said here."

_PAPER = "Try the pattern on in paper before you cut leather."


def standing_cautions(kind: LimbKind) -> tuple[str, ...]:
    """The cautions that hold for every piece on a limb of this kind, the gravest first."""
    nerve = (_LEG_NERVE,) if kind.nerve else ()
    return (NOT_PROTECTIVE, *nerve, _NUMB, _HEAT, _BLADES, _SOLVENTS, _LASER, _LOCAL, _PAPER, _PRIVATE)
