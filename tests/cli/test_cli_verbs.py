"""The verbs are listed without being loaded, and each loads only what it needs."""

import subprocess
import sys
from pathlib import Path

import pytest

from cli.main import VERBS

ROOT = Path(__file__).parents[2]

FOREIGN = {"make": ("starlette", "uvicorn", "asyncio"), "measure": ("starlette", "uvicorn", "asyncio", "ezdxf")}
"""Libraries that a verb has no use for."""


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_is_found_by_its_name_and_tells_its_use(calfskin, verb):
    ended = calfskin(verb, "--help")
    assert ended.code == 0
    assert ended.out.startswith(f"Usage: calfskin {verb} ")


def test_the_list_of_verbs_tells_them_in_the_order_of_the_work(calfskin):
    ended = calfskin("--help")
    lines = ended.out.partition("Commands:\n")[2].splitlines()
    assert [line.split(maxsplit=1) for line in lines] == [[name, verb.help] for name, verb in VERBS.items()]


def loaded_after(code):
    done = subprocess.run(
        [sys.executable, "-c", f"import sys\n{code}\nprint(*sys.modules)"], capture_output=True, text=True, cwd=ROOT
    )
    assert done.returncode == 0, done.stderr
    return set(done.stdout.split())


def test_the_list_of_verbs_loads_none_of_them():
    loaded = loaded_after("from cli.main import calfskin\ncalfskin.main(['--help'], standalone_mode=False)")
    assert not loaded & {"numpy", "scipy", "matplotlib", "starlette", *(verb.module for verb in VERBS.values())}


@pytest.mark.parametrize("verb", FOREIGN)
def test_a_verb_does_not_wait_for_what_another_one_needs(verb):
    loaded = loaded_after(f"import {VERBS[verb].module}")
    assert not loaded & set(FOREIGN[verb])
