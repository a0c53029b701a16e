"""What is wrong with a piece that does not form."""

from flatten.errors import CalfskinError


class FormingError(CalfskinError, ArithmeticError):
    """A piece does not come to rest on the limb, or its flat shape cannot be changed so that it does within limits."""
