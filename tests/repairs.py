"""What was done to a scan, as tests look at it."""


def codes(repairs):
    """The codes of repairs without their room's name, and their counts, in order."""
    return [(repair.code.removeprefix("scan."), repair.figures["count"]) for repair in repairs]
