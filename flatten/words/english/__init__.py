"""English: one module of sentences for each room whose figures they tell, and the names."""

from flatten.words.english import amounts, bound, limb, page, pieces, places, report, scan, sheets, tape
from flatten.words.english.names import NAMES
from flatten.words.language import Language

ENGLISH = Language(
    sentences={
        **amounts.SENTENCES,
        **bound.SENTENCES,
        **limb.SENTENCES,
        **page.SENTENCES,
        **pieces.SENTENCES,
        **places.SENTENCES,
        **report.SENTENCES,
        **scan.SENTENCES,
        **sheets.SENTENCES,
        **tape.SENTENCES,
    },
    names=NAMES,
    page=page.PAGE,
)
"""What Calfskin speaks."""
