"""What a job file can be wrong in; apart, so that whoever only catches it loads nothing else."""

from __future__ import annotations

from flatten.errors import CalfskinError


class JobError(CalfskinError, ValueError):
    """A job file cannot be read, or a setting in it makes no sense."""
