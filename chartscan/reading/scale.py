"""What a chart measures at least and how it is ruled: for every stage that looks for one."""

from __future__ import annotations

LEAST_CELLS = 5  # along a side; fewer are no chart that anything tells from a doodle
LEAST_PITCH = 3.4  # px per cell; smaller cells have no inside of their own
SEVERAL = (2, 3)  # cells along a side by which a lattice is likeliest too fine, or too coarse

BOLD = (10, 5)  # cells from one bold line to the next (common practice, no source)
LEAST_IN_BOLD = 5.0  # px per cell from which on lines between bold ones are looked for
IN_BOLD = 0.1  # part of all edges that lie between bold lines where lines are drawn there

NEAR = 0.2  # cells from its place within which an edge is a line's
ROUGHLY_NEAR = 0.35  # the same while the pitch is still rough
EXPECTED = 0.3  # cells from where a line is expected within which one is that line
ALONG = 1.0  # cells: standard deviation of the smoothing of what a line shows on its way
NODES = 2.0  # cells between the nodes of a residual that was worked out

LINES = 0.12  # part of a cell, along each of its sides, that grid lines reach into
THIN_LINES = 0.08  # the same of thin ones: large glyphs come as near to the side
