"""Triangle meshes: areas, borders, disk check, gradients, and meshing of plane regions."""
