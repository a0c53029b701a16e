"""The front ends: the command `calfskin`, one file a verb."""
