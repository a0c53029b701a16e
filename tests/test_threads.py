"""Whatever figures or files come from works with one thread of linear algebra, and leaves others their own."""

from pathlib import Path

import pytest
from threadpoolctl import threadpool_info, threadpool_limits

from cli.page.stages import Stages
from flatten.advice.judge import judge
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay, make, mean_found
from flatten.measuring import find, measure, read
from flatten.threads import one_thread
from tests.analytic_jobs import design_of, found_on
from tests.limbs import cylinder

HERE = Path()
JOB = job_of({"scan": {"file": "made-up.ply"}}, name="the test")
FOUND = found_on(cylinder())


def threads():
    return {pool["num_threads"] for pool in threadpool_info() if pool["user_api"] == "blas"}


@pytest.fixture(autouse=True)
def two_threads():
    """As on a machine with two cores, whatever the environment says."""
    with threadpool_limits(2):
        if not threads():
            pytest.skip("the threads of this linear algebra cannot be counted")
        assert threads() == {2}
        yield
        assert threads() == {2}


def test_work_has_one_thread_and_afterwards_there_are_as_many_as_before():
    assert one_thread(threads)() == {1}
    assert threads() == {2}
    with pytest.raises(ZeroDivisionError):
        one_thread(lambda: 1 // 0)()
    assert threads() == {2}


class StoppedError(Exception):
    """Ends the work as soon as it says or asks anything."""


ENTRIES = {
    "read": lambda say: read(JOB.scan, path=HERE, announce=say),
    "find": lambda say: find(FOUND.scan, JOB.scan, announce=say),
    "measure": lambda say: measure(JOB.scan, folder=HERE, announce=say),
    "mean_found": lambda say: mean_found(Asked(say), FOUND),
    "lay": lambda say: lay(design_of(JOB, FOUND), limits=PRESETS["cased"], announce=say),
    "finish": lambda say: finish(JOB, [(FOUND, None)], text="", announce=say),
    "judge": lambda say: judge(JOB, [(FOUND, Asked(say))], limits=PRESETS["cased"], announce=say),
    "make": lambda say: make(JOB, folder=HERE, out=HERE, announce=say),
    "the bench's work": lambda say: Stages().run(Asked(say), say),
}


class Asked:
    """Stands for what an entry is given, where it asks for something before it announces a step."""

    def __init__(self, say):
        self.say = say

    def __getattr__(self, name):
        self.say(name)


@pytest.mark.parametrize("entry", ENTRIES.values(), ids=ENTRIES)
def test_each_entry_works_with_one_thread(entry):
    seen = []

    def say(step):
        seen.append(threads())
        raise StoppedError

    with pytest.raises(StoppedError):
        entry(say)
    assert seen == [{1}]
