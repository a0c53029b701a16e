"""Lines that somebody drew, read from SVG and DXF files in mm: a hide's outline, an ornament's strands."""
