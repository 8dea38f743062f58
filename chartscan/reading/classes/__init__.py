"""Which cells are one class, and which class is the ground that isn't stitched."""
