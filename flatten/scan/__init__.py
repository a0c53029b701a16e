"""Scans: read any, name the unit, clean, list what was done, scale by tape."""
