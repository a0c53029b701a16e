"""Pieces: true cut lines, holes, marks and labels from a flat panel."""
