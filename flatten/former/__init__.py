"""What the leather is formed on: the piece's inner face as bodies to print, and as ribs on a spine to cut."""
