"""`calfskin start`: the job file that it writes is a job, and so is every example in it once it is uncommented."""

import json
import re
import shlex
import tomllib
from pathlib import Path

import pytest
from pydantic import BaseModel

from cli import template
from flatten.job.settings import Job
from flatten.job.text import job_of

SCAN = Path(__file__).parents[1] / "data" / "scans" / "leg_a_clean.ply"
PLAIN = template.TEXT.format(
    command_name="leg.toml", found="", file='"leg.ply"', unit="mm", limb="lower leg", side="left", front='"auto"',
    pick="# pick = [0.1, 0.4, 0.2]", joint='# joint = "340 mm"', joint_words="the middle of the kneecap",
    tape=template.TAPE.format(least="ankle", girth="380 mm"), zero="the ankle",
    edges='top = "auto"\nbottom = "auto"\n', sides="front, outside, back, inside", at="ankle",
)  # fmt: skip
HEAD = re.compile(r"# (\[\[?[a-z_.]+\]\]?)$")
SETTING = re.compile(r"# ([a-z_]+) = \S")


def examples():
    """Each example in the template: the lines it stands in, a whole table or a single setting."""
    lines, found = PLAIN.splitlines(), []
    for number, line in enumerate(lines):
        if HEAD.match(line):
            end = number + 1
            while end < len(lines) and SETTING.match(lines[end]):
                end += 1
            found.append((number, end))
        elif SETTING.match(line) and not (found and number < found[-1][1]):
            found.append((number, number + 1))
    return [pytest.param(span, id=lines[span[0]].removeprefix("# ").split("#")[0].strip()) for span in found]


def uncommented(span):
    """The text with an example uncommented; a setting that stands already in the same table gives way."""
    lines = PLAIN.splitlines()
    start, end = span
    if not HEAD.match(lines[start]):
        key = SETTING.match(lines[start])[1]
        head = max(n for n in range(start) if lines[n].startswith("["))
        for number in range(head, start):
            if lines[number].startswith(f"{key} = "):
                lines[number] = ""
    lines[start:end] = [line.removeprefix("# ") for line in lines[start:end]]
    return with_its_pair("\n".join(lines))


def with_its_pair(text):
    """The remark on the other limb's scan says what it goes with."""
    return text.replace('pair = "no"', 'pair = "own scan"') if "\n[other_scan]\n" in text else text


@pytest.mark.parametrize("span", examples())
def test_every_example_in_the_job_file_holds_once_it_is_uncommented(span):
    table, plain = tomllib.loads(uncommented(span)), tomllib.loads(PLAIN)
    assert table != plain
    job_of(table, name="leg.toml")


def test_all_tables_of_examples_hold_together():
    text = PLAIN
    for parameter in examples():
        (span,) = parameter.values
        block = "\n".join(PLAIN.splitlines()[slice(*span)])
        # Pieces lie on hides or on a bed.
        if HEAD.match(block.splitlines()[0]) and not block.startswith("# [bed]"):
            text = text.replace(block, re.sub("(?m)^# ", "", block))
    job = job_of(tomllib.loads(with_its_pair(text)), name="leg.toml")
    assert [seam.kind for seam in job.seam] == ["laced", "riveted", "strapped", "stitched"]
    assert (len(job.dart), len(job.scan.tape), len(job.fitting)) == (1, 1, 1)
    assert job.mockup.material == "paper"
    assert [hide.outline for hide in job.hide] == ["", "hide.dxf"]


def keys(model):
    for name, field in model.model_fields.items():
        yield name
        parts = [field.annotation, *getattr(field.annotation, "__args__", ())]
        for part in parts:
            if isinstance(part, type) and issubclass(part, BaseModel):
                yield from keys(part)


def test_every_setting_of_a_job_is_named_in_it():
    missing = {key for key in keys(Job) if not re.search(rf"\b{key}\b", PLAIN)}
    assert not missing


def test_the_job_file_is_written_and_makes_sense(calfskin, tmp_path):
    (tmp_path / "watch.ply").write_bytes(SCAN.read_bytes())
    ended = calfskin("start", tmp_path / "watch.ply", "--unit", "mm", "--tape", "380 mm")
    assert ended.code == 0
    job = job_of(tomllib.loads((tmp_path / "watch.toml").read_text("utf-8")), name="watch.toml")
    assert (job.scan.file, job.scan.unit, job.scan.tape[0].girth) == ("watch.ply", "mm", 380.0)
    told = (tmp_path / "watch.toml").read_text("utf-8")
    assert "girths as a tape reads them" in told
    assert all(len(line) <= 120 for line in told.splitlines())


def test_the_command_in_a_job_file_can_be_copied_whatever_the_scan_is_called(calfskin, tmp_path):
    (tmp_path / "Scan of 12 June's.ply").write_bytes(SCAN.read_bytes())
    assert calfskin("start", tmp_path / "Scan of 12 June's.ply", "--unit", "mm", "--side", "left").code == 0
    told = (tmp_path / "Scan of 12 June's.toml").read_text("utf-8")
    (command,) = re.findall("Make it with:  (.*)", told)
    assert shlex.split(command) == ["calfskin", "make", "Scan of 12 June's.toml"]


def test_a_forearms_job_file_speaks_of_the_wrist_and_of_the_forearms_own_sides(calfskin, tmp_path):
    scan = SCAN.with_name("forearm_c_nodes.glb")
    ended = calfskin("start", scan, "--limb", "forearm", "--job", tmp_path / "arm.toml")
    assert ended.code == 0
    told = (tmp_path / "arm.toml").read_text("utf-8")
    assert '# at = "widest"          # widest, wrist, or a height' in told
    assert "front, outside, back, inside, back of the hand side, thumb side, palm side, little-finger side;" in told
    assert job_of(tomllib.loads(told), name="arm.toml").scan.limb == "forearm"


def test_a_unit_that_is_only_guessed_stays_a_guess_in_the_job_file(calfskin, tmp_path):
    job = tmp_path / "leg.toml"
    guessed = calfskin("start", SCAN, "--side", "left", "--job", job)
    assert "The scan names no unit" in guessed.out
    assert tomllib.loads(job.read_text("utf8"))["scan"]["unit"] == "auto"
    job.unlink()
    calfskin("start", SCAN, "--side", "left", "--unit", "mm", "--job", job)
    assert tomllib.loads(job.read_text("utf8"))["scan"]["unit"] == "mm"


@pytest.mark.parametrize("given", ["340 mm", "a point"])
def test_a_joint_that_is_given_stands_in_the_job_file(calfskin, tmp_path, given):
    # The truth's knee, in the file's own axes.
    place = json.loads(SCAN.with_suffix(".json").read_text("utf8"))["landmarks_file"]["knee"]
    said = given if given != "a point" else ",".join(f"{value:.1f}" for value in place)
    ended = calfskin("start", SCAN, "--unit", "mm", "--joint", said, "--job", tmp_path / "leg.toml")
    assert ended.code == 0
    joint = tomllib.loads((tmp_path / "leg.toml").read_text("utf8"))["scan"]["joint"]
    assert joint == (given if given != "a point" else {"point": [float(x) for x in said.split(",")]})
