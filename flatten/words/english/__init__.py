"""English: one module of sentences for each room whose figures they tell, and the names."""

from flatten.words.english import amounts, page, pieces, places, scan, sheets
from flatten.words.english.names import NAMES
from flatten.words.language import Language

ENGLISH = Language(
    sentences={
        **amounts.SENTENCES,
        **page.SENTENCES,
        **pieces.SENTENCES,
        **places.SENTENCES,
        **scan.SENTENCES,
        **sheets.SENTENCES,
    },
    names=NAMES,
    page=page.PAGE,
)
"""What Calfskin speaks."""
