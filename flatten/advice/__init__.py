"""Advice: what to change where leather cannot follow the limb, each change tried on the limb itself."""
