"""A scan that arrives at a bench whose workers do nothing, and what is found of it."""

import json
import struct

import numpy as np

from cli.page.updates import ScanRead, WorkRequest
from flatten.scan.model import Scan

SCAN = ScanRead(
    b"",
    1,
    Scan(
        "x.ply", np.zeros((3, 3)), np.empty((0, 3)), np.array([[0, 1, 2]]),
        unit="mm", unit_from="file", scale=1.0, faces_read=1, repairs=(),
    ),
)  # fmt: skip


def found(session, update):
    """Let the process that works on what is wanted send an update."""
    wanted = session.wanted()
    request = WorkRequest(wanted.job, wanted.path, wanted.scan_number, fine=False, strips=wanted.strips)
    session.work.apply(update, request)


def arrived(session, name, content=b"x"):
    """Bring a scan, which is read and laid down."""
    session.folder.arriving.write_bytes(content)
    session.take_scan(name)
    found(session, SCAN)


def brought(files, head=None):
    """Files by name as a browser sends them, in one body."""
    told = json.dumps([[path, len(data)] for path, data in files.items()] if head is None else head).encode()
    return struct.pack("<I", len(told)) + told + b"".join(files.values())
