"""Records of finished pieces: read, added to, told apart by job, and what slips are told."""

from pathlib import Path

import numpy as np
import pytest

from flatten.record.records import (
    Recorded,
    RecordedRing,
    RecordError,
    is_suspicious,
    jobs_of,
    learned_of,
    read_girth,
    read_records,
    record_files,
    records_from,
    with_record,
)

GAPS = 25.0


def record(measured, *, drawn=(391.0, 260.0), foretold=None, **more):
    """A record of rings; what is foretold is what is drawn unless said."""
    rings = zip(("widest", "bottom"), drawn, foretold or drawn, measured, strict=True)
    given = {"job": "made-up", "making": "0123456789abcdef", "side": "left", "thickness": 3.2, "gaps": GAPS}
    return Recorded(
        **given | {"closed": GAPS} | more,
        ring=tuple(RecordedRing(at=at, height=100.0, drawn=d, foretold=f, measured=m) for at, d, f, m in rings),
    )


def test_a_record_is_read_as_it_was_written_and_what_stood_there_stays():
    first = record((394.5, 262.0), date="last Sunday", correction=-0.012, closed=27.0, taped="outside")
    second = record((395.0, 261.5), side="right")
    text = with_record("", first, head="# leg.toml\n") + "# a remark of the maker's own\n"
    more = with_record(text, second, head="not again")
    assert records_from(more, name="it") == (first, second)
    assert more.startswith(text)
    assert text.startswith("# leg.toml\n")
    assert "not again" not in more
    assert 'measured = "394.5 mm"' in more
    assert 'correction = "-1.2 %"' in more


def test_the_share_is_of_the_leather_and_at_the_gap_that_was_drawn():
    """Leather 1 % longer than drawn, laced 3 mm wider, measured over leather that takes 20 mm."""
    drawn = (391.0, 260.0)
    measured = tuple(GAPS + (girth - GAPS) * 1.01 + 3.0 + 20.0 for girth in drawn)
    own = record(measured, drawn=drawn, foretold=(388.0, 257.0), closed=GAPS + 3.0)
    own = own.model_copy(update={"ring": tuple(r.model_copy(update={"leather": 20.0}) for r in own.ring)})
    assert own.shares == pytest.approx((0.01, 0.01), abs=1e-12)
    assert own.misses == pytest.approx((3.66 + 3.0, 2.35 + 3.0), abs=1e-12)


def test_both_of_a_pair_are_one_job_and_two_makings_are_two():
    left, right = record((394.0, 262.0)), record((393.0, 262.0), side="right")
    again = record((394.0, 262.0), making="fedcba9876543210")
    files = [("a.finished.toml", [left, right, again]), ("b.finished.toml", [left])]
    assert jobs_of(files) == [[left, right], [again], [left]]
    assert learned_of(jobs_of(files)).jobs == 3


TRUTH = 0.013


def rounds(chance, *, corrected, number=4):
    """Made-up records: jobs of a maker whose leather comes out longer by TRUTH, drawn as the correction has it."""
    found = []
    for job in range(number):
        wanted = chance.uniform(250, 420, 2)
        drawn = GAPS + (wanted - GAPS) * (1.0 + corrected)
        lot = TRUTH + chance.normal(0, 0.002)
        came = GAPS + (drawn - GAPS) * (1.0 + lot + chance.normal(0, 0.002, 2))
        making = f"{job}{corrected}"
        found.append(
            record(tuple(came), drawn=tuple(drawn), foretold=tuple(wanted), making=making, correction=corrected)
        )
    return found


def test_a_second_round_with_the_correction_in_it_comes_out_as_foretold_and_counts_once():
    chance = np.random.default_rng(5)
    first = rounds(chance, corrected=0.0)
    learned = learned_of(jobs_of([("a", first)]))
    assert learned.low < TRUTH < learned.high
    second = rounds(chance, corrected=round(learned.correction, 3))
    misses = [miss for one in second for miss in one.misses]
    assert abs(np.mean(misses)) < 1.0 < np.mean([miss for one in first for miss in one.misses])
    # What is learned is of the leather: both rounds together still offer the whole correction, not what is left of it.
    both = learned_of(jobs_of([("a", [*first, *second])]))
    assert both.jobs == 8
    assert both.correction == pytest.approx(learned.correction, abs=0.002)


def test_record_files_are_those_in_a_folder_and_below_it_but_not_hidden_ones(tmp_path):
    for name in ("leg.finished.toml", "arm/arm.finished.toml", ".trash/old.finished.toml", "leg.toml"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("")
    found = record_files([tmp_path, tmp_path / "leg.finished.toml"])
    assert [path.relative_to(tmp_path.resolve()).as_posix() for path in found] == [
        "arm/arm.finished.toml",
        "leg.finished.toml",
    ]
    with pytest.raises(RecordError, match="no records at"):
        record_files([tmp_path / "nowhere"])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("abc", "'abc' is not a length"),
        ("39", "write '390 mm' if so"),
        ("15.4", "write '15.4 in' if so"),
        ("-391", "no girth of 50 to 1500 mm"),
        ("9999", "no girth of 50 to 1500 mm"),
        ("391,5", "decimals after a point: '391.5'"),
    ],
)
def test_a_slip_is_told_in_one_sentence(text, told):
    with pytest.raises(RecordError) as error:
        read_girth(text, foretold=391.0)
    assert told in str(error.value)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(("text", "girth"), [("391", 391.0), ("39.1 cm", 391.0), ("15 3/8 in", 390.525)])
def test_a_girth_is_read_in_any_unit(text, girth):
    assert read_girth(text, foretold=391.0) == pytest.approx(girth)


def test_a_girth_more_than_15_per_cent_off_is_suspicious():
    assert [is_suspicious(g, foretold=400.0) for g in (339.0, 341.0, 459.0, 461.0)] == [True, False, False, True]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[[finished]\n", "is no record of finished pieces"),
        ('[[finished]]\njob = "x"\n', "finished 1 making is wrong"),
        ("[other]\n", "other is wrong"),
    ],
)
def test_a_record_that_is_none_is_told_with_its_place(text, told, tmp_path):
    (tmp_path / "x.finished.toml").write_text(text)
    with pytest.raises(RecordError, match=told):
        read_records(tmp_path / "x.finished.toml")
    assert read_records(Path("/nowhere/x.finished.toml")) == ()
