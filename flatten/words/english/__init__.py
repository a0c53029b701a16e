"""English: one module of sentences for each room whose figures they tell, and the names."""

from flatten.words.english import (
    advice,
    amounts,
    bound,
    card,
    cautions,
    closing,
    edges,
    finished,
    fitting,
    former,
    hardware,
    leather,
    limb,
    order,
    page,
    parts,
    pictures,
    pieces,
    places,
    report,
    scan,
    sheets,
    stops,
    strips,
    tape,
    terminal,
    wearing,
)
from flatten.words.english.names import NAMES
from flatten.words.language import Language

MODULES = (
    advice,
    amounts,
    bound,
    card,
    cautions,
    closing,
    edges,
    finished,
    fitting,
    hardware,
    former,
    leather,
    limb,
    order,
    page,
    parts,
    pictures,
    pieces,
    places,
    report,
    scan,
    sheets,
    stops,
    strips,
    tape,
    terminal,
    wearing,
)
"""All that is said, by what it is about."""

ENGLISH = Language(
    tag="en",
    sentences={code: sentence for module in MODULES for code, sentence in module.SENTENCES.items()},
    names=NAMES,
    page=page.PAGE,
    stops=stops.STOPS,
)
"""What Calfskin speaks."""
