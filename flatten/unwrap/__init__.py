"""Flattening: a start, symmetric Dirichlet, and the limits of the leather."""
