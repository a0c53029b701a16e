"""The space that ornament has on a piece, drawings brought into it, interlace woven and carved on it."""
