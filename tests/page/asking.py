"""A page that is really served, a client that it trusts, and the processes that work for it."""

import json
import os
import re
import time
from pathlib import Path

import httpx2

from tests.page.browsing import begun

PATIENCE = 300.0
"""s. On an idle machine the first leather is there after three."""


def children(pid):
    """The processes that a process has begun."""
    return [int(pid) for task in Path(f"/proc/{pid}/task").iterdir() for pid in (task / "children").read_text().split()]


class Served:
    """A running page and a client that it trusts."""

    def __init__(self, folder):
        self.process, self.address = begun(folder)
        home = self.address.partition("/open")[0]
        self.client = httpx2.Client(base_url=home, headers={"origin": home}, timeout=PATIENCE, follow_redirects=True)

    def set(self, *changes):
        """Make changes of the job, and the state then."""
        return self.do("/set", content=json.dumps(changes))

    def do(self, where, **more):
        """Ask for something to be done, and the state then."""
        return self.client.post(where, **more).raise_for_status().json()

    def states(self):
        """The states as they come."""
        with self.client.stream("GET", "/events") as stream:
            for line in stream.iter_lines():
                if line.startswith("data:"):
                    yield json.loads(line[5:])
        raise AssertionError("the events ended")

    def until(self, wanted, *, since):
        """Seconds from `since` until a state is `wanted`, and that state; no failure meanwhile."""
        for state in self.states():
            assert state["failure"] is None
            if wanted(state):
                break
        return time.perf_counter() - since, state

    def processes(self):
        """The server, and all that it has begun."""
        found = [self.process.pid]
        for pid in found:
            found += children(pid)
        return found

    def workers(self):
        """The two processes that work for the server, the elder first: that for previews, unless it was replaced."""
        return sorted(worker for child in children(self.process.pid) for worker in children(child))

    def spent(self):
        """Processor seconds so far of the server and of the worker for previews, the elder of its two."""
        stats = [
            Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
            for pid in (self.process.pid, self.workers()[0])
        ]
        return sum(int(ticks) for stat in stats for ticks in stat[11:13]) / os.sysconf("SC_CLK_TCK")

    def held(self):
        """MB that all processes hold now; what they share (a worker is a copy of a loaded one) counts once."""
        found = [re.search(r"Pss:\s+(\d+)", Path(f"/proc/{pid}/smaps_rollup").read_text()) for pid in self.processes()]
        return sum(int(match[1]) for match in found if match) / 1024

    def peak(self):
        """MB that the greediest process has needed at most."""
        found = [re.search(r"VmHWM:\s+(\d+)", Path(f"/proc/{pid}/status").read_text()) for pid in self.processes()]
        return max(int(match[1]) for match in found if match) / 1024

    def close(self):
        self.client.close()
        self.process.terminate()
        self.process.wait(20)


def current(state):
    """Whether the leather on the bench is that of the job as it stands."""
    return bool(state["leather"] and state["leather"]["current"])


def made(state):
    """Whether the files are those of the job as it stands, and nothing is worked on."""
    return bool(state["made"] and state["made"]["current"] and not state["work"])
