"""The local browser page: a server for this computer alone, and what it serves."""
