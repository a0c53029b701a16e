"""Girths of a limb surface, and a scan corrected by girths from a tape."""
