"""The job file: its settings, its text, and what each step takes from it."""
