"""How each question came by its answer, and the buttons that lift what stands against cutting."""

from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest

from cli.demo import SCANS
from cli.page.answers import answers
from cli.page.asked import front_agreed, front_found, marks, to_look_at
from cli.page.edits import with_values
from cli.page.known import SessionState
from cli.page.updates import Failure, LimbFound
from flatten.findings import finding
from flatten.job.text import job_from
from flatten.limb.girths.girth import girth_table
from flatten.limb.kind import KINDS
from flatten.measuring import find, read
from flatten.report.verdict import verdict_on
from tests.analytic_jobs import found_on
from tests.limbs import cylinder

FRESH = '[scan]\nfile = "leg.ply"\n'


def silent(step):
    pass


def on_bench(text, *, unit_from="file", findings=(), **more):
    found = found_on(cylinder())
    scan = replace(found.scan, unit_from=unit_from)
    limb = LimbFound(scan, found.limb, found.skin, tuple(girth_table(found.limb, found.skin)), findings, b"")
    return SessionState(job=job_from(text, name="job"), limb=limb, **more)


def agreed_to(text, **more):
    """The same bench once the maker has agreed to the front that is found."""
    state = on_bench(text, **more)
    state.front = front_found(state.job, state.limb.limb)
    return state


def test_of_a_fresh_scan_limb_side_and_front_are_to_be_looked_at_and_all_else_is_as_usual():
    fresh = on_bench(FRESH)
    assert marks(fresh) == {
        **dict.fromkeys(("limb", "size", "front"), "look"),
        **dict.fromkeys(("under", "leather", "edges", "opening", "darts", "finish", "plates"), "usual"),
        **dict.fromkeys(("ornament", "tried", "hides", "former", "pieces"), "usual"),
    }
    assert to_look_at(fresh) == ["limb", "front"]
    assert marks(SessionState()) == {}
    before = SessionState(job=fresh.job)
    assert (marks(before)["limb"], marks(before)["front"], to_look_at(before)) == ("open", "open", [])


def test_what_the_maker_says_is_answered():
    said = agreed_to(f'{FRESH}limb = "lower leg"\nside = "left"\n[[scan.tape]]\ngirth = "380 mm"\n')
    assert {marks(said)[name] for name in ("limb", "size", "front")} == {"answered"}
    assert to_look_at(said) == []
    half = on_bench(f'{FRESH}limb = "lower leg"\n')
    assert marks(half)["limb"] == "look"
    against = finding("limb.side against", "stop", seen="foot", side="left", other="right")
    doubted = on_bench(f'{FRESH}limb = "lower leg"\nside = "left"\n', findings=(against,))
    assert marks(doubted)["limb"] == "open"


def turned(limb, degrees):
    """The limb with its front turned round its axis."""
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    front, lateral, axis = limb.frame.axes
    axes = np.array([cos * front + sin * lateral, cos * lateral - sin * front, axis])
    return replace(limb, frame=replace(limb.frame, axes=axes))


@pytest.mark.parametrize(
    ("elsewhere", "same"),
    [
        (lambda limb: limb, True),
        (lambda limb: turned(limb, 4.5), True),
        (lambda limb: turned(limb, -4.5), True),
        (lambda limb: turned(limb, 5.5), False),
        (lambda limb: turned(limb, 180.0), False),
        (lambda limb: replace(limb, side="right"), False),
        (lambda limb: replace(limb, kind=KINDS["forearm"]), False),
    ],
)
def test_another_front_than_the_one_that_was_agreed_to_is_looked_at_anew(elsewhere, same):
    state = agreed_to(FRESH)
    state.limb = replace(state.limb, limb=elsewhere(state.limb.limb))
    assert front_agreed(state) == same
    assert ("front" in to_look_at(state)) != same
    state.limb = None
    assert marks(state)["front"] == "open"


def test_another_limb_that_is_clicked_in_the_scan_is_looked_at_anew():
    state = agreed_to(f"{FRESH}pick = [1.0, 2.0, 3.0]\n")
    assert front_agreed(state)
    state.job = job_from(f"{FRESH}pick = [1.0, 2.0, 300.0]\n", name="job")
    assert not front_agreed(state)


def test_a_guessed_unit_is_looked_at_before_anything_is_cut():
    assert to_look_at(agreed_to(FRESH, unit_from="guessed")) == ["limb", "size"]
    assert to_look_at(agreed_to(f'{FRESH}unit = "mm"\n', unit_from="given")) == ["limb"]
    taped = agreed_to(f'{FRESH}[[scan.tape]]\ngirth = "380 mm"\n', unit_from="guessed")
    assert to_look_at(taped) == ["limb"]


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ("under", '[wear]\nease = "9 mm"'),
        ("leather", '[leather]\nthickness = "3 mm"'),
        ("edges", '[edges]\ntop = "300 mm"'),
        ("opening", '[[seam]]\nkind = "riveted"'),
        ("darts", "[[dart]]"),
        ("finish", '[edges]\nflare = { top = "4 mm" }'),
        ("finish", '[piece]\ncorners = "4 mm"'),
        ("pieces", '[piece]\npair = "mirrored"'),
        ("plates", "[[plate]]"),
        ("hides", "[[hide]]\nshape = 'bend'"),
        ("former", '[former]\nkind = "ribs"'),
        ("tried", '[mockup]\nmaterial = "felt"'),
    ],
)
def test_one_question_alone_is_answered_by_what_it_asks(question, said):
    usual, answered = marks(on_bench(FRESH)), marks(on_bench(f"{FRESH}{said}\n"))
    assert {name for name in usual if usual[name] != answered[name]} == {question}
    assert answered[question] == "answered"


# Answers as buttons


def lifted(job, limb, stops):
    """The jobs that each answer makes, by its words."""
    found = answers(job, limb, failure=None, stops=stops)
    return {
        answer["words"]: with_values(job, answer["changes"])
        for of_question in found.values()
        for answer in of_question
        if "changes" in answer
    }


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The demo leg as a job names it: the finding and the stops of a job."""
    own = SCANS[0].bare
    path = tmp_path_factory.mktemp("demo") / own.file
    path.write_bytes((files("cli.meshes") / own.file).read_bytes())
    job = job_from(own.text, name=own.job)
    scan = read(job.scan, path=path, announce=silent)

    def found(own):
        limb = find(scan, own.scan, announce=silent)
        return limb, verdict_on(limb.findings, sure=(), side=limb.limb.side).open

    return job, found


def test_a_wrong_side_is_put_right_by_its_button(demo):
    job, found = demo
    wrong = with_values(job, [(["scan", "side"], "right")])
    limb, stops = found(wrong)
    assert [stop.key for stop in stops] == ["side"]
    made = lifted(wrong, limb.limb, stops)
    assert list(made) == ["It is a left lower leg"]
    assert found(made["It is a left lower leg"])[1] == ()


def test_a_front_that_is_given_elsewhere_is_found_again_by_its_button(demo):
    job, found = demo
    axes = found(job)[0].limb.frame.axes
    wrong = with_values(job, [(["scan", "front"], (-axes[0]).tolist())])
    limb, stops = found(wrong)
    assert "front" in [stop.key for stop in stops]
    made = lifted(wrong, limb.limb, stops)
    assert "front" not in [stop.key for stop in found(made["Find the front in the scan again"])[1]]


def test_a_seam_that_cannot_be_opened_is_laced_and_only_such_are_offered():
    job = job_from(f'{FRESH}[[seam]]\nname = "back"\nkind = "riveted"\nskive = "auto"\n', name="job")
    stops = verdict_on([finding("wearing.closed", "stop", far_end="foot")], sure=(), side="left").open
    limb = found_on(cylinder()).limb
    made = lifted(job, limb, stops)
    assert {words: one.seam[0].kind for words, one in made.items()} == {"Lace the seam “back”": "laced"}
    assert answers(made["Lace the seam “back”"], limb, failure=None, stops=stops) == {}


def test_another_limb_is_named_and_a_joint_is_clicked():
    limb = found_on(cylinder()).limb
    job = job_from(FRESH, name="job")
    against = finding("limb.kind against", "stop", limb="lower leg", shown="a hand")
    unsure = verdict_on([against], sure=(), side="left").open
    named = {words: one.scan.limb for words, one in lifted(job, limb, unsure).items()}
    assert named == {"It is a thigh": "thigh", "It is a forearm": "forearm", "It is an upper arm": "upper arm"}


def test_a_scan_that_does_not_say_its_unit_is_asked_for_those_that_it_may_be_in():
    failure = Failure("in cm or in inches?", "size", ("cm", "in"))
    asked = answers(job_from(FRESH, name="job"), None, failure=failure, stops=())
    assert asked == {
        "size": [
            {"words": "It is in cm", "changes": [[["scan", "unit"], "cm"]]},
            {"words": "It is in inches", "changes": [[["scan", "unit"], "in"]]},
        ]
    }
