"""The one base error; each room derives its own from it and from a builtin."""


class CalfskinError(Exception):
    """Base of every error that Calfskin raises on purpose; its text is one sentence for the user."""
