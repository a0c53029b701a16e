"""Sections, axis, front and landmarks of a limb."""
