"""Which limb of several a scan shows, and whether it is of the kind that was named."""
