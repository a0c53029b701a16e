"""Edges moved where that brings most: the growing of the set, its words, and what it brings on real legs."""

import numpy as np
import pytest
from test_advice import found_in
from test_advice_parts import found_of, job_with, merged
from threadpoolctl import threadpool_limits

from flatten.advice.advise import COARSE, CONFIRMED
from flatten.advice.edges import LEAST_STEP, Move, edge_change, grown, moves_of, shifts_of
from flatten.advice.lines import changed_lines
from flatten.advice.trial import tried
from flatten.job.pieces import dressed
from flatten.leather.limits import PRESETS
from flatten.words.say import text
from tests.analytic_jobs import design_of

CASED = PRESETS["cased"]
A, B, C, D = (Move("top", (k,)) for k in range(4))


def never(moves):
    return False


def test_what_is_held_by_two_places_at_once_falls_with_the_second():
    """The excess is the larger of two places'; A relieves the first wholly, B the second, C a little of both."""
    places = {A: (0.05, 0.002), B: (0.001, 0.05), C: (0.004, 0.004), D: (-0.01, -0.01)}

    def drop(moves):
        relieved = np.sum([places[move] for move in moves], axis=0)
        return float(0.1 - (0.1 - relieved).max())

    assert grown([A, B, C, D], drop=drop, enough=never) == ((C,), (C, A), (C, A, B))
    assert grown([A, B, C, D], drop=drop, enough=lambda moves: len(moves) == 2) == ((C,), (C, A))


def test_a_move_that_later_ones_make_needless_is_left_out():
    """A little of both places comes first; where both are relieved wholly a third holds, which nothing moves."""
    places = {A: (0.05, 0.002, 0.0), B: (0.002, 0.05, 0.0), C: (0.02, 0.02, 0.0)}

    def drop(moves):
        relieved = np.sum([places[move] for move in moves], axis=0)
        return float(0.1 - (np.array([0.1, 0.1, 0.06]) - relieved).max())

    assert grown([A, B, C], drop=drop, enough=never) == ((C,), (C, A), (A, B))
    assert grown([A, B, C], drop=drop, enough=lambda moves: len(moves) == 3) == ((C,), (C, A), (C, A, B))


def test_what_brings_nothing_or_cannot_be_cut_is_left_out():
    worth = {A: 0.01, B: None, C: 0.9 * LEAST_STEP, D: -0.01}

    def drop(moves):
        values = [worth[move] for move in moves]
        return None if None in values else sum(values)

    assert grown([A, B, C, D], drop=drop, enough=never) == ((A,),)
    assert grown([B, D], drop=drop, enough=never) == ()


def round_limb():
    return found_of(lambda h, b: 55.0 + 0.0 * h)


def test_top_edges_fall_and_bottom_edges_rise_at_their_quarters_alone():
    found, job = round_limb(), job_with(edges={"top": "300 mm", "bottom": "10 mm"})
    change = edge_change(design_of(job, found), [Move("top", (1,)), Move("bottom", (3,)), Move("top", (2,))], 40.0)
    assert text(change.sentence) == (
        "Lower the top edge by 40 mm at the outside and at the back; raise the bottom edge by 40 mm at the inside."
    )
    edges = change.apply(job).edges
    assert [edges.top.front, edges.top.outside, edges.top.back, edges.top.inside] == [300.0, 260.0, 260.0, 300.0]
    assert [edges.bottom.front, edges.bottom.outside, edges.bottom.back, edges.bottom.inside] == [
        10.0,
        10.0,
        10.0,
        50.0,
    ]
    assert merged(job, changed_lines(job, change.apply(job))) == change.apply(job)


def test_a_symmetrical_piece_is_changed_on_both_sides_alike():
    found = round_limb()
    moves = moves_of(design_of(job_with(piece={"symmetry": "centre line"}), found))
    assert all((1 in move.quarters) == (3 in move.quarters) for move in moves)
    assert len(moves_of(design_of(job_with(), found))) == 8


def test_a_long_guard_gives_up_an_eighth_of_its_height_and_others_40_mm():
    short, long = (
        design_of(job_with(edges={"top": top, "bottom": "10 mm"}), round_limb()) for top in ("300 mm", "410 mm")
    )
    assert shifts_of(short) == (20.0, 40.0)
    assert shifts_of(long)[1] == 50.0


@pytest.mark.full
@pytest.mark.parametrize("name", ["leg_a_clean", "leg_b_phone", "leg_c_floor"])
def test_the_best_edges_take_15_per_cent_off_the_spread_of_a_leg(name):
    """From the trade's own edges, arched at the least girth; told of the 8 mm mesh on which advice is confirmed."""
    job, found = found_in(name)
    with threadpool_limits(1):
        design = design_of(job, found)
        ground, most = dressed(design), shifts_of(design)[1]

        def spread(moves, edge_length):
            changed = design_of(edge_change(design, moves, most).apply(job), found) if moves else design
            return tried(changed, ground, limits=CASED, edge_length=edge_length).asked.spread

        before = spread((), COARSE)
        sets = grown(moves_of(design), drop=lambda moves: (before - spread(moves, COARSE)) / 2, enough=never)
        taken = 1.0 - spread(sets[-1], CONFIRMED) / spread((), CONFIRMED)
    print(f"{name}: {text(edge_change(design, sets[-1], most).sentence)}: {taken:.1%} less")
    assert taken >= 0.15
