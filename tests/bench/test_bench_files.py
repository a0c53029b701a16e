import numpy as np
import pytest

from flatten.drawing.files import pattern_files
from flatten.pattern.model import Hole, Label, Mark, Path, Piece
from flatten.pattern.path import segment
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import sheets_of
from tests.bench.timing import least_seconds, yardstick_seconds

PIECES, POINTS = 20, 2000


def piece(number, *, arcs):
    """A plate of the harbour watch with a wavy edge of POINTS lines or arcs, twenty holes, a grain arrow and a name."""
    t = np.linspace(0.0, 2.0 * np.pi, POINTS, endpoint=False)
    r = 150.0 + 20.0 * np.cos(3.0 * t + number) + 8.0 * np.cos(7.0 * t)
    bulges = np.full(POINTS, np.tan(0.5 * np.pi / POINTS) if arcs else 0.0)
    outline = Path(np.stack([r * np.cos(t), 1.3 * r * np.sin(t)], axis=1), bulges, closed=True)
    round_about = np.linspace(0.0, 2.0 * np.pi, 20, endpoint=False)
    holes = tuple(Hole(100.0 * np.cos(a), 120.0 * np.sin(a), 5.0, "eyelet", "back", "high") for a in round_about)
    marks = (Mark("grain", segment((0.0, -20.0), (0.0, 20.0))),)
    return Piece(f"plate {number}", "left", outline, holes, marks, (Label(0.0, 0.0, 5.0, 0.0, "plate"),), 3.2)


@pytest.mark.bench
@pytest.mark.parametrize(("arcs", "most"), [(False, 32.0), (True, 75.0)])
def test_pieces_of_two_thousand_points_are_put_on_sheets_and_written_in_some_yardsticks(arcs, most):
    pieces = [piece(number, arcs=arcs) for number in range(PIECES)]

    def write():
        return pattern_files(pieces, "harbour watch", sheets=sheets_of(pieces, Printing()))

    assert [name for name, _ in write()] == ["pattern.dxf", "pattern.svg", "pattern.pdf"]
    taken, unit = least_seconds(write), yardstick_seconds()
    print(f"\n{PIECES} pieces of {POINTS} {'arcs' if arcs else 'lines'}: {taken:.2f} s, {taken / unit:.1f} yardsticks")
    # 27 to 34 of them with lines, 50 to 69 with arcs.
    assert taken < most * unit
