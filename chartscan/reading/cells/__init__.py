"""What lies inside the cells of a lattice: pixels taken cell by cell, the light, the glyphs."""
