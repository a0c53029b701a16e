"""Pieces on pages and hides."""
