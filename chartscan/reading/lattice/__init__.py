"""Where the grid lies: ways to propose a lattice, to refine it, and to say how far it reaches."""
