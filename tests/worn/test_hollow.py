"""Hollows spanned as leather spans them: closed forms of two discs, and a general polygon library's hull."""

import numpy as np
import pytest
from shapely.geometry import Polygon

from flatten.job.text import job_of
from flatten.limb.girths.girth import section_girth, tape_girth
from flatten.worn.hollow import spanned_radii
from flatten.worn.neutral import Wear, neutral_surface, spanned
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cylinder, limb_of

RADIUS, APART = 40.0, 40.0
"""mm. Two discs whose middles lie APART: their hull is 2πR + 2·APART round, its two straight spans APART long."""


def discs(h, b):
    """The outline of two discs side by side: a hollow on each side where they meet."""
    half = APART / 2
    return half * np.abs(np.cos(b)) + np.sqrt(RADIUS**2 - (half * np.sin(b)) ** 2) + 0.0 * h


def waisted(h, b):
    return 44 + 16 * np.cos(2 * b) + 0.02 * h


def perimeter(radii):
    turn = np.arange(len(radii)) * (2 * np.pi / len(radii))
    return Polygon(np.column_stack([radii * np.cos(turn), radii * np.sin(turn)])).length


def test_spanned_discs_are_their_hull():
    turn = np.arange(720) * (np.pi / 360)
    filled = spanned_radii(discs(0.0, turn)[None], width=APART + 1.0)[0]
    # Chords of half a degree: below 1e-5 of the girth.
    assert perimeter(filled) == pytest.approx(2 * np.pi * RADIUS + 2 * APART, abs=0.01)
    # The straight span lies at R over the middle line.
    assert filled[180] == pytest.approx(RADIUS, abs=1e-3)


def test_a_hollow_wider_than_leather_reaches_is_filled_as_far_as_it_lies_in():
    turn = np.arange(720) * (np.pi / 360)
    width = APART / 2
    filled = spanned_radii(discs(0.0, turn)[None], width=width)[0]
    # The widest level chord touches each disc width/2 off the middle: √(R² − ((APART − width)/2)²) up. Its ends lie on
    # bearings half a degree apart, 0.35 mm, on a slope of (APART − width)/2R.
    assert filled[180] == pytest.approx(np.sqrt(RADIUS**2 - ((APART - width) / 2) ** 2), abs=0.1)
    assert discs(0.0, np.pi / 2) < filled[180] < RADIUS
    np.testing.assert_allclose(filled[:60], discs(0.0, turn[:60]), rtol=1e-12)


def test_a_chord_that_spans_most_of_a_half_turn_is_found():
    turn = np.arange(360) * (np.pi / 180)
    half = np.radians(85.0)
    lone = np.where(np.cos(turn) < np.cos(half) + 1e-9, 50.0, 2.0)
    filled = spanned_radii(lone[None], width=101.0)[0]
    # The chord from 85 degrees on one side to 85 on the other lies 50·cos 85° from the centre.
    front = np.arange(-80, 81)
    np.testing.assert_allclose(filled[front], 50.0 * np.cos(half) / np.cos(np.radians(front)), rtol=1e-9)
    np.testing.assert_allclose(filled[90:271], 50.0, rtol=1e-12)


def test_nothing_is_filled_where_no_chord_is_short_enough_or_nothing_is_hollow():
    turn = np.arange(120) * (np.pi / 60)
    hollow = discs(0.0, turn)[None]
    np.testing.assert_allclose(spanned_radii(hollow, width=0.5), hollow, rtol=1e-12)
    round_section = np.full((3, 120), 50.0)
    np.testing.assert_allclose(spanned_radii(round_section, width=1e9), round_section, rtol=1e-12)


def test_a_limb_with_a_hollow_has_skin_and_tape_girth_and_its_spanned_skin_the_tapes():
    limb = limb_of(waisted)
    filled = spanned(limb, width=200.0)
    for height in (0.0, 150.0, 300.0):
        turn = np.arange(20_000) * (2 * np.pi / 20_000)
        radii = waisted(height, turn)
        outline = Polygon(np.column_stack([radii * np.cos(turn), radii * np.sin(turn)]))
        assert section_girth(limb, height) == pytest.approx(outline.length, abs=0.03)
        assert tape_girth(limb, height) == pytest.approx(outline.convex_hull.length, abs=0.03)
        # Nodes 3° apart meet a straight span between them to R · (3°)²/8 at its ends.
        assert section_girth(filled, height) == pytest.approx(outline.convex_hull.length, abs=0.1)
        assert outline.length - outline.convex_hull.length > 0.5


def test_leather_on_a_hollow_limb_lies_as_on_its_hull():
    wear = Wear((3.0,) * 4, 8.0, 3.2, 0.5)
    limb = limb_of(waisted)
    followed = neutral_surface(limb, wear).surface
    over = neutral_surface(limb, Wear((3.0,) * 4, 8.0, 3.2, 0.5, hollows=200.0)).surface
    # An outline moved out by d, unfolded, is 2πd longer (Steiner); the cone's slope of 0.02 takes 2e-4 of d off.
    away = 2 * np.pi * (3.0 + 1.6) + 8.0
    assert section_girth(over, 150.0) == pytest.approx(tape_girth(limb, 150.0) + away, abs=0.15)
    assert section_girth(followed, 150.0) == pytest.approx(section_girth(limb, 150.0) + away, abs=0.15)
    assert section_girth(followed, 150.0) > section_girth(over, 150.0) + 0.5


@pytest.mark.parametrize("shape", [cylinder(), limb_of(calf)])
def test_a_limb_without_hollows_is_left_as_it_is(shape):
    low, high = shape.trusted
    h, b = np.meshgrid(np.linspace(low, high, 40), np.arange(60) * (np.pi / 30), indexing="ij")
    # A chord of 3° lies R(1 − cos 1.5°) inside the skin and so never shows; splines through other nodes differ less.
    np.testing.assert_allclose(spanned(shape, width=30.0).radius(h, b), shape.radius(h, b), atol=0.02)


def test_the_job_says_how_wide_hollows_are_spanned():
    table, found = {"scan": {"file": "leg.ply", "limb": "lower leg"}}, found_on(cylinder())
    plain, spanning = (
        design_of(job_of({**table, **more}, name="the test"), found) for more in ({}, {"wear": {"hollows": "4 cm"}})
    )
    assert plain.wear.hollows == 0.0
    assert spanning.wear.hollows == pytest.approx(40.0)
