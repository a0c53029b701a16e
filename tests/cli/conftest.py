import os
import sys

import pytest

from cli.main import main


class Ended:
    def __init__(self, code, out, err):
        self.code, self.out, self.err = code, out, err


@pytest.fixture
def calfskin(monkeypatch, capsys):
    """Runs the command in this process; gives its exit code and what it printed."""

    def run(*words):
        monkeypatch.setattr(sys, "argv", ["calfskin", *map(str, words)])
        with pytest.raises(SystemExit) as end:
            main()
        printed = capsys.readouterr()
        return Ended(end.value.code, printed.out, printed.err)

    return run


@pytest.fixture
def listed():
    """Names in a folder, hidden ones too."""
    return lambda folder: sorted(os.listdir(folder))
