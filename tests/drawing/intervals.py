"""How sure a share is that was counted on a few charts."""

from __future__ import annotations

import math

Z95 = 1.96  # of a normal distribution: 95 of 100 lie within


def wilson(hits: int, number: int) -> tuple[float, float]:
    """The 95 % interval of a share, 0..1.

    Wilson (1927), "Probable inference, the law of succession, and statistical inference", Journal
    of the American Statistical Association 22, 209-212.
    """
    if number == 0:
        return 0.0, 1.0
    share, squared = hits / number, Z95 * Z95
    widened = 1 + squared / number
    middle = (share + squared / (2 * number)) / widened
    spread = share * (1 - share) / number + squared / (4 * number * number)
    half = Z95 * math.sqrt(spread) / widened
    return max(0.0, middle - half), min(1.0, middle + half)
