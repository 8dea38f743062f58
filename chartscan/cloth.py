"""What counted cloth is, wherever a number of it is told: bounds that catch slips of the keys."""

from __future__ import annotations

FINEST, COARSEST = 100.0, 1.0  # fabric threads per inch that any counted ground has
COUNT_TOLERANCE = 0.25  # threads per inch; woven counts vary by more, labels by less (practice)
MOST_MARGIN_MM = 10_000  # on each side; no cloth is as wide
