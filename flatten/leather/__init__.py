"""Leather: its limits, and the stretch that a flat panel asks of it."""
