"""A piece on many sheets stands in the PDF once, and is shown on each of them."""

import numpy as np

from flatten.drawing.pdf import pdf_bytes
from flatten.pattern.model import Label, Path, Piece
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import sheets_of


def test_a_piece_of_many_points_on_many_sheets_is_written_once():
    chance = np.random.default_rng(5)
    turn = np.linspace(0.0, 2.0 * np.pi, 3000, endpoint=False)
    sizes = []
    for scale in (0.3, 3.0):
        radii = scale * (300.0 + chance.uniform(-1.0, 1.0, len(turn)))
        rim = Path(np.stack([radii * np.cos(turn), radii * np.sin(turn)], axis=1), np.zeros(len(turn)), closed=True)
        piece = Piece("reed guard", "left", rim, (), (), (Label(0.0, 0.0, 5.0, 0.0, "reed guard"),), 3.2)
        sheets = sheets_of([piece], Printing())
        sizes.append((sum(len(tiling.tiles) for tiling in sheets.tilings), len(pdf_bytes(sheets, "reed guard"))))
    (few, small), (many, large) = sizes
    assert few <= 4
    assert many > 40
    # Twice as many sheets' frames and names are nothing beside the outline; forty outlines would be.
    assert large < 5 * small
