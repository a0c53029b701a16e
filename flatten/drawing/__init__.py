"""A neutral drawing of layers, and its DXF, SVG and PDF bytes."""
