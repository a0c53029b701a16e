"""`calfskin leather`: strips told with their spread, and lines that a job file takes."""

import tomllib

from flatten.job.text import job_of

ROWS = """direction;L0;L1;L2;load;width;thickness
along;100,0;101,5;105,2;10;20;3,2
along;100,0;101,0;106,3;;;
along;100,0;102,0;105,9;;;
across;100,0;102,0;107,9;;;
across;100,0;102,0;108,4;;;
"""


def lines_of(ended):
    return ended.out.partition("For the job file:")[2].partition("\n\n")[2]


def test_strips_are_told_and_the_job_takes_their_lines(calfskin, tmp_path):
    (tmp_path / "mine.csv").write_text(ROWS, "utf-8")
    ended = calfskin("leather", str(tmp_path / "mine.csv"))
    assert ended.code == 0
    assert "5.2 % for the weakest, 6.3 % for the best (mean 5.8 %, SD 0.6 %, 3 strips)" in ended.out
    assert "Look: only 2 strips across the grain." in ended.out
    leather = tomllib.loads(lines_of(ended))["leather"]
    assert job_of({"scan": {"file": "leg.ply"}, "leather": leather}, name="it").leather.limits.endswith("mine.csv")
    again = calfskin("leather", str(tmp_path / "mine.csv"), str(tmp_path / "mine.csv"))
    leather = tomllib.loads(lines_of(again))["leather"]
    assert leather["limits"]["stretch_across"] == "7.9 %"
    assert job_of({"scan": {"file": "leg.ply"}, "leather": leather}, name="it").leather.thickness == 3.2


def test_a_file_that_cannot_be_read_ends_in_one_sentence(calfskin, tmp_path):
    ended = calfskin("leather", str(tmp_path / "none.csv"))
    assert (ended.code, ended.out) == (1, "")
    assert ended.err == "calfskin: strip test 'none.csv' cannot be read: No such file or directory\n"
