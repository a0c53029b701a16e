"""A job's ornament: its settings' defaults and bounds, and the one sentence for what makes no sense."""

from pathlib import Path

import pytest

from flatten.job.errors import JobError
from flatten.job.text import given_table, job_from, job_text, with_paths_from

SCAN = '[scan]\nfile = "leg.ply"\n'


def job(more=""):
    return job_from(SCAN + more, name="job.toml")


def test_a_job_without_ornament_has_the_field_s_margins_and_no_motif():
    found = job()
    assert found.motif == ()
    assert (found.ornament.edge, found.ornament.hole, found.ornament.stitch) == (6.0, 4.0, 3.0)


def test_what_is_written_reads_as_the_same_job():
    found = job(
        '[ornament]\nedge = "1 cm"\npace = "2 m"\nworn = false\n[[motif]]\nkind = "border"\nstrands = 3\n'
        '[[motif]]\nkind = "drawing"\nfile = "drawn/reeds.svg"\nhalf = "left"\nby = ["0 mm", "-20 mm"]\nturn = 90\n'
    )
    assert found.ornament.edge == 10.0
    assert found.ornament.pace == 2000.0
    assert found.motif[1].by == (0.0, -20.0)
    assert job_from(job_text(found), name="again") == found


@pytest.mark.parametrize(
    ("table", "sentence"),
    [
        ('[[motif]]\nkind = "drawing"\n', r"\[\[motif\]\] 1: a drawing comes from a file; write file"),
        ('[[motif]]\nfile = "a.svg"\n', r"a filling is made and has no file; leave the file out"),
        ('[[motif]]\nwidth = "1 mm"\n', r"\[\[motif\]\] 1, width: '1 mm' is outside 1.5 to 40 mm"),
        ('[[motif]]\nalong = "top"\n', r"\[\[motif\]\] 1: a filling lies along no side; leave along out"),
        ('[[motif]]\nkind = "border"\nalong = "top"\nstrands = 3\n', r"3 strands along one side cannot each turn back"),
        ('[[motif]]\nkind = "border"\nalong = "up"\n', r"\[\[motif\]\] 1, along"),
        ("[[motif]]\nstrands = 41\n", r"\[\[motif\]\] 1, strands: 41 is no number of strands"),
        ('[[motif]]\nby = "20 mm"\n', r"by: '20 mm' is no place; write \[to the right, up\]"),
        ('[ornament]\nmargin = "2 mm"\n', r"\[ornament\] margin is unknown"),
        ('[ornament]\npace = "0 mm"\n', r"\[ornament\] pace: '0 mm' is outside 50 to 50000 mm"),
    ],
)
def test_what_makes_no_sense_is_one_sentence(table, sentence):
    with pytest.raises(JobError, match=sentence):
        job(table)


def test_drawings_are_told_from_where_the_job_is_written():
    found = job('[[motif]]\nkind = "drawing"\nfile = "drawn/reeds.svg"\n[[motif]]\n')
    moved = with_paths_from(found, folder=Path("jobs"), out=Path("jobs/leg"))
    assert [motif.file for motif in moved.motif] == ["../drawn/reeds.svg", ""]
    assert given_table(found)["motif"][0]["file"] == "reeds.svg"
