"""Fabric and thread from the geometry of the stitches."""
