import pytest

from flatten.job.errors import JobError
from flatten.job.settings import Job
from flatten.job.text import job_from, job_text, read_job, with_paths_from

SCAN = '[scan]\nfile = "watch.ply"\n'


def job(text):
    return job_from(SCAN + text, name="watch.toml")


def test_every_setting_but_the_scan_has_a_default():
    assert job("").leather.thickness == 3.2
    assert job("").seam[0].gap == 25.0
    assert job("").edges.top.front is None


def test_lengths_are_read_in_the_makers_units():
    """8 oz of leather are 8/64 in = 3.175 mm [derived]."""
    found = job('[leather]\nthickness = "8 oz"\n[wear]\nease = "1 cm"\n[[seam]]\ngap = "1 in"\n')
    assert (found.leather.thickness, found.wear.ease, found.seam[0].gap) == (3.175, 10.0, 25.4)


def test_inches_are_read_as_a_tape_shows_them():
    """13 3/8 in are 13.375 · 25.4 mm."""
    found = job('[wear]\nease = "3/8 in"\n[[scan.tape]]\ngirth = "13 3/8 in"\n[[seam]]\ngap = "1-1/4\\""\n')
    assert (found.wear.ease, found.scan.tape[0].girth, found.seam[0].gap) == pytest.approx((9.525, 339.725, 31.75))


def test_padding_may_be_one_amount_or_differ_by_quarter():
    assert job('[wear]\nunder = "4 mm"').wear.under.back == 4.0
    under = job('[wear]\nunder = { front = "8 mm", back = "2 mm" }').wear.under
    assert (under.front, under.outside, under.back) == (8.0, 0.0, 2.0)


SPECIMENS = {
    "bare": "",
    "direction": "front = [0.0, 0.1, 1.0]",
    "point": "front = { point = [1.0, 2.0, 3.0] }",
    "tape": '[[scan.tape]]\nat = "widest"\ngirth = "386 mm"\n[[scan.tape]]\nat = "120 mm"\ngirth = "11.25 in"',
    "edges": '[edges]\ntop = "300 mm"\nbottom = { front = "30 mm" }',
    "drawn seam": "[[seam]]\nalong = [[180, '-10.3 mm'], [175.5, 300]]",
    "two seams": '[[seam]]\nname = "inner"\nalong = "inside"\n[[seam]]\nname = "outer"\nalong = 90',
    "own limits": "[leather]\nlimits = { stretch_along = '6 %', stretch_across = 0.05, squeeze_along = 0.02, "
    "squeeze_across = 0.02 }",
    "odd names": '[piece]\nname = "Schiene \\"Ä\\""\n[output]\ntitle = "línea"',
}


@pytest.mark.parametrize("text", SPECIMENS.values(), ids=SPECIMENS.keys())
def test_a_written_job_reads_as_the_same_job_and_writes_the_same_bytes(text):
    first = job(text)
    written = job_text(first)
    assert job_from(written, name="again") == first
    assert job_text(job_from(written, name="again")) == written


def test_every_setting_stands_in_a_written_job():
    def keys(model):
        for name in type(model).model_fields:
            yield name
            value = getattr(model, name)
            if hasattr(type(value), "model_fields"):
                yield from keys(value)

    written = job_text(job(""))
    for name in keys(job("")):
        assert f"{name} =" in written or f"[{name}" in written or f".{name}]" in written


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('units = "mm"', r"\[scan\] units is unknown; did you mean 'unit'\?"),
        ("[lether]\nx = 1", r"\[lether\] is unknown; did you mean 'leather'\?"),
        ("[edges]\ntop = { font = 3 }", r"top font is unknown; did you mean 'front'\?"),
        ("[[scan.tape]]\ngirht = 300", r"tape 1 girht is unknown; did you mean 'girth'\?"),
        ("[[seam]]\n[[seam]]\nname = 'b'\nzzz = 1", r"\[\[seam\]\] 2, zzz is unknown; known here are name, along"),
        ('limb = "leg"', r"limb is 'leg'; it must be 'auto', 'lower leg', 'thigh', 'forearm' or 'upper arm'"),
        ('side = "Left"', "'left' or 'right'"),
        ('[leather]\nthickness = "40 mm"', "'40 mm' is outside 0.5 to 10 mm"),
        ('[leather]\nthickness = "8 ozz"', "unknown unit 'ozz'"),
        ("[leather]\nneutral = 0.9", "0.6"),
        ("[leather]\nroom = 1.5", "room is 1.5; it must be a share of the slack to the limits, from 0"),
        ('[leather]\nroom = "half"', r"from 0 \(none is left\) to 1 \(all of it\), such as 0.5"),
        ("[leather]\nlimits = 3", "write 'cased', 'dry'"),
        ("front = [0, 0, 0]", "no direction or point"),
        ("front = [0, nan, 1]", "no direction or point"),
        ("front = { pont = [1, 2, 3] }", "pont is unknown"),
        ('[edges]\ntop = "high"', "'high' is not a length"),
        ("[edges]\ntop = inf", "inf is not a length"),
        ('[[seam]]\nalong = [[180, "3 mm"]]', "two or more points"),
        ('[[seam]]\nalong = "behind"', "no line for a seam"),
        ("[[seam]]\n[[seam]]", "two seams are called 'back'"),
        ('[[scan.tape]]\nat = "middle"\ngirth = 300', "'middle' is no place for a tape; write 'widest'"),
        ('[[scan.tape]]\ngirth = "4 mm"', "outside 50 to 1500 mm"),
        ("[[scan.tape]]\nat = 3", "girth is missing"),
        ('[wear]\nease = "-3 mm"', "outside 0 to 100 mm"),
        ("[wear]\nease = true", "not a length"),
        ('[leather]\nthickness = "8-9 oz"', "'8-9 oz' is no single length.*write the middle: '8.5 oz'"),
        ('[leather]\nthickness = "8/9 oz"', "write the middle: '8.5 oz'"),
        ('[leather]\nthickness = "3,2 mm"', "decimals after a point: '3.2 mm'"),
        ('[wear]\nease = "3/0 in"', "'3/0 in' is not a length"),
        ('[wear]\nease = "1/2 mm"', "'1/2 mm' is not a length"),
        ("x = = 3", "not a job file: line 3, 'x = = 3', is no TOML: Invalid value"),
        ("[wear]\nease = 3 mm", "line 4, 'ease = 3 mm', is no TOML.*lengths with their unit, stand in quotes"),
        ("[wear]\nease = 3\nease = 4", "line 5, 'ease = 4', sets what is set above it already"),
        ("[wear]\n[wear]", r"line 4, '\[wear\]', sets what is set above it already"),
        ("[wear]\nease = {", "not a job file"),
    ],
)
def test_a_setting_without_sense_is_named_with_what_is_wanted(text, words):
    with pytest.raises(JobError, match=words):
        job(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", r"\[scan\] is missing"),
        ("scan = 3", "must be a table"),
        ("seam = 3\n" + SCAN, r"\[seam\] is 3; it must be a list"),
        ("seam = []\n" + SCAN, "at least 1"),
        ("[scan]\nfile = 3", "must be a valid string"),
    ],
)
def test_a_job_of_the_wrong_form_is_refused(text, words):
    with pytest.raises(JobError, match=words):
        job_from(text, name="watch.toml")


def test_a_missing_or_binary_job_file_is_told_in_a_sentence(tmp_path):
    with pytest.raises(JobError, match="no job file"):
        read_job(tmp_path / "none.toml")
    with pytest.raises(JobError, match="cannot be read as a job file"):
        read_job(tmp_path)
    (tmp_path / "binary.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(JobError, match="cannot be read as a job file"):
        read_job(tmp_path / "binary.toml")


def test_scan_and_strip_test_are_found_again_from_the_output_folder(tmp_path):
    first = Job(scan={"file": "in/watch.ply"}, leather={"limits": "strips.toml"})
    moved = with_paths_from(first, folder=tmp_path, out=tmp_path / "made" / "left")
    assert (moved.scan.file, moved.leather.limits) == ("../../in/watch.ply", "../../strips.toml")
    assert with_paths_from(Job(scan={"file": "a.ply"}), folder=tmp_path, out=tmp_path).leather.limits == "cased"


def test_a_pick_is_a_point_of_the_scan_and_is_written_again():
    table = '[scan]\nfile = "watch.ply"\npick = [0.1, -0.2, 1.0]\n'
    read = job_from(table, name="j.toml")
    assert read.scan.pick == (0.1, -0.2, 1.0)
    assert job_from(job_text(read), name="j.toml").scan.pick == read.scan.pick
    assert job_from('[scan]\nfile = "watch.ply"\n', name="j.toml").scan.pick == "auto"
    with pytest.raises(JobError, match="is no direction or point; write three numbers"):
        job_from(table.replace("[0.1, -0.2, 1.0]", '"left"'), name="j.toml")


def test_a_limb_and_a_side_that_nobody_names_stay_auto():
    found = job("")
    assert (found.scan.limb, found.scan.side) == ("auto", "auto")
    again = job_from(job_text(found), name="again")
    assert (again.scan.limb, again.scan.side) == ("auto", "auto")


def test_straps_are_written_again_as_they_were_placed():
    def seam(text):
        read = job(f'[[seam]]\nkind = "strapped"\n{text}')
        assert job_from(job_text(read), name="again") == read
        return read.seam[0]

    assert (seam("").straps, seam("").at, seam("").buckles) == (None, (), "auto")
    assert seam("straps = 3").straps == 3
    assert seam('at = ["22 cm", "60 mm"]').at == (60.0, 220.0)
    assert seam('buckles = "calf"\nalong = "inside"').buckles == "back"
    for text, words in [
        ("straps = 1", "one strap lets a piece turn"),
        ("straps = true", "a whole number from 2 to 12"),
        ('at = ["60 mm"]', "two heights or more"),
        ('at = "60 mm"', "two heights or more"),
        ('straps = 3\nat = ["60 mm", "220 mm"]', "placed by straps and by at; leave only one"),
        ('straps = 3\npitch = "80 mm"', "placed by straps and by pitch; leave only one"),
    ]:
        with pytest.raises(JobError, match=words):
            seam(text)
