"""What a scan shows that is no limb: cloth, double layers, flat facets."""
