"""What is usual among cells of one group, and when colours are grey: for every stage of sorting."""

from __future__ import annotations

SOME = 200  # cells of a group that tell how far its own are off
FEW = 4  # cells of a group that is too small to tell by itself what is usual in it
ROUNDS = 12  # of moving two middles to the means of what is near; mostly two or three are needed
SIGMA = 1.4826  # standard deviations in the median distance from the middle (normal noise)
QUIET = 1.0  # CIELAB difference between cells of a group that is taken to be usual at least
GLYPH = 4.0  # CIELAB lightness of ink, over all places of a cell, that makes a glyph
GREY = 12.0  # CIELAB chroma up to which a colour is grey, or the light's own cast
REACH = 0.34  # part of the inside of a cell, from each side, that a frame or bold line reaches into
