"""What the page's scripts list, the job and the work know by the same words."""

import re
from dataclasses import replace
from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from cli.page.folder import Folder
from cli.page.session import Session
from cli.page.state import page_state
from flatten.job.closings import DartSettings, SeamSettings
from flatten.job.edge_lines import EdgeLineSettings
from flatten.job.finishes import FinishSettings
from flatten.job.settings import EdgeHeights, FlareSettings, PieceSettings
from flatten.limb.kind import FOREARM, KINDS, QUARTERS, quarter_bearing, tape_places

STATIC = Path(__file__).parents[2] / "cli" / "page" / "static"


def listed(script, pattern):
    """The quoted words of the first match of a pattern in a script."""
    return re.findall(r'"([^"]+)"', re.search(pattern, (STATIC / script).read_text("utf-8"), re.DOTALL)[1])


def test_the_quarters_are_the_jobs_a_right_angle_apart():
    assert listed("kinds.js", r"const QUARTERS = \[(.*?)\]") == list(QUARTERS)
    assert [np.degrees(quarter_bearing(quarter)) for quarter in QUARTERS] == [0.0, 90.0, 180.0, 270.0]


def test_the_kinds_of_seams_are_the_jobs():
    seams = get_args(SeamSettings.model_fields["kind"].annotation)
    assert listed("seams.js", r"const KINDS = \[(.*?)\]") == list(seams)


@pytest.mark.parametrize(
    "settings",
    [SeamSettings, DartSettings, EdgeHeights, FlareSettings, EdgeLineSettings, FinishSettings, PieceSettings],
    ids=lambda settings: settings.__name__,
)
def test_every_setting_of_what_is_cut_has_its_field(settings):
    forms = [*(STATIC / "forms").glob("*.js"), STATIC / "seams.js"]
    source = "".join(path.read_text("utf-8") for path in forms)
    # Sides of the limb and straps' ways are gone through by their lists.
    listed = {*QUARTERS, "straps", "shape", "points"}
    asked = {key for key in settings.model_fields if re.search(rf'(?:at\(|, |\[)"{key}"[\])]', source)}
    assert set(settings.model_fields) - asked - listed == set()


def test_what_the_page_says_of_limbs_comes_from_their_kinds(tmp_path, idle, monkeypatch):
    tail = replace(FOREARM, name="tail", tape_places=("root",))
    monkeypatch.setitem(KINDS, "tail", tail)
    shown = page_state(Session(Folder(tmp_path / "bench")))
    assert [kind["name"] for kind in shown["kinds"]] == list(KINDS)
    leg, *_, last = shown["kinds"]
    assert (last["label"], last["sides"], last["zero"]) == ("tail", list(FOREARM.sides), "the wrist")
    assert [place["at"] for place in last["tape_places"]] == ["widest", "root"]
    assert leg["tape_places"][1] == {"at": "ankle", "label": "at the ankle, where it is least", "taped": "Ankle"}
    assert leg["front_hint"] == "Click in the middle of the front, on the edge of the shin."
    assert shown["fronts"].startswith(
        "The limb on the bench looks at you with its front. On a lower leg that is the shin, on a thigh above the "
        "kneecap, on a forearm the back of the hand side, on an upper arm the biceps"
    )


def test_no_script_knows_a_limb_by_its_name():
    names = {*KINDS, *tape_places()} - {"widest"}
    found = re.compile("|".join(rf"\b{name}\b" for name in sorted(names)), re.IGNORECASE)
    sources = [*STATIC.rglob("*.js"), STATIC.parent / "index.html"]
    assert len(sources) > 10
    assert [(path.name, match[0]) for path in sources for match in found.finditer(path.read_text("utf-8"))] == []
