"""The cautions that everyone meets who makes or wears a piece, in English."""

from __future__ import annotations

from flatten.words.language import Sentence, fixed

SENTENCES: dict[str, Sentence] = {
    "caution.not protective": fixed(
        "This is a costume piece, not protective equipment. Do not fight in it: organised fighting has its own rules "
        "and inspects its own gear."
    ),
    "caution.leg nerve": fixed(
        "A nerve lies right under the skin at the outer side just below the knee (the common peroneal nerve, at the "
        "head of the fibula). Keep edges and straps off that place and out of the hollow of the knee."
    ),
    "caution.numb": fixed(
        "Numbness, tingling, a change of colour or weakness in the limb: take the piece off at once. If it does not "
        "go away, see a clinician."
    ),
    "caution.heat": fixed(
        "Never put hot or hot-wet leather on a body; form it on a former. The heat that hardens leather (76 to 82 °C) "
        "scalds: use tongs and thick gloves."
    ),
    "caution.blades": fixed("Use a sharp blade, cut away from yourself, and put a board behind knife and punch."),
    "caution.solvents": fixed(
        "Dyes and finishes with solvents need open windows, gloves, and no flame near; heed their labels."
    ),
    "caution.laser": fixed(
        "Never cut chrome-tanned leather with a laser: its smoke is poisonous. Vegetable-tanned leather needs "
        "extraction and somebody beside the machine too; follow the machine’s manual and your local rules."
    ),
    "caution.local rules": fixed(
        "Local rules on tools, chemicals, lasers and events go before anything that is said here."
    ),
    "caution.paper": fixed("Try the pattern on in paper before you cut leather."),
    "caution.private": fixed(
        "A scan is a picture of a body: scan only somebody who agrees, and delete what is no longer needed. It stays "
        "on this computer, and so do these files unless you pass them on."
    ),
}
