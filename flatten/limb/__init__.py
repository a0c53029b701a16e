"""Limbs: axis, front, side and landmarks, the fitted surface r(height, bearing), girths."""
