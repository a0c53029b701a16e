"""Findings and figures put into sentences and names: the only room that speaks a user's language."""
