"""Triangle meshes: areas, boundaries, disk check, gradients, and meshing of plane regions."""
