"""What the page says, in the words and signs in which it is read."""

import pytest

from cli.page.folder import Folder
from cli.page.session import Session
from cli.page.state import page_state, sentence
from flatten.leather.limits import CASED, FIGURES, leather_limits


@pytest.mark.parametrize(
    ("raised", "shown"),
    [
        ("a limb's end", "A limb’s end."),
        ("'much' is not a length", "“much” is not a length."),
        ("'harbour's leg.ply' and the legs' ends", "“harbour’s leg.ply” and the legs’ ends."),
        ("seam 'back' ends inside (-3 to -1 mm); draw it on", "Seam “back” ends inside (−3 to −1 mm); draw it on."),
        ("half-way up?", "Half-way up?"),
        ("leg.ply is empty; export the scan again", "leg.ply is empty; export the scan again."),
    ],
)
def test_an_error_is_set_as_a_printed_sentence(raised, shown):
    assert sentence(raised) == shown


def test_own_figures_begin_with_those_of_the_cased_preset(tmp_path, idle):
    own = leather_limits(page_state(Session(Folder(tmp_path / "bench")))["own_limits"], folder=tmp_path).in_force
    assert [getattr(own, name) for name in FIGURES] == [getattr(CASED, name) for name in FIGURES]
