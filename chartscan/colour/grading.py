"""A colour difference in plain words, with published thresholds behind them.

Sources: R. D. Paravina et al., "Color difference thresholds in dentistry", Journal of Esthetic and
Restorative Dentistry 27, 2015 (half of 175 observers saw a ΔE00 of 0.8, half accepted 1.8);
ISO 105-A02 (grey scale for assessing change in colour). Nobody sees a sharp edge at a threshold,
so these are bands, not verdicts.
"""

from __future__ import annotations

import bisect
import itertools
from dataclasses import dataclass

PERCEPTIBLE = 0.8  # ΔE00, 50 % of observers see it (Paravina et al. 2015)
ACCEPTABLE = 1.8  # ΔE00, 50 % of observers accept it (Paravina et al. 2015)
DIFFERENT = 5.0  # ΔE00 above which nobody takes two threads for one (common practice, no source)


@dataclass(frozen=True)
class Band:
    """A grade, and the ΔE00 below which it holds."""

    below: float
    words: str


BANDS = (
    Band(PERCEPTIBLE, "can't tell apart"),
    Band(ACCEPTABLE, "close"),
    Band(DIFFERENT, "noticeable"),
    Band(float("inf"), "different"),
)

# ISO 105-A02 prescribes its pairs of greys in CIELAB: ΔE*ab 0, 0.8, 1.7, 2.5, 3.4, 4.8, 6.8, 9.6
# and 13.6 for grades 5 to 1, the first grey at Y = 12. These are the ΔE00 of the same pairs, so
# that the grade asks how different two colours look, not how far apart they lie in CIELAB.
GREY_SCALE = (
    ("5", 0.0),
    ("4-5", 0.72),
    ("4", 1.54),
    ("3-4", 2.28),
    ("3", 3.12),
    ("2-3", 4.45),
    ("2", 6.40),
    ("1-2", 9.23),
    ("1", 13.44),
)


def grade(delta_e: float) -> str:
    """The words for a ΔE00: can't tell apart, close, noticeable or different.

    >>> grade(0.5), grade(1.2), grade(3), grade(12)
    ("can't tell apart", 'close', 'noticeable', 'different')
    """
    return next((band.words for band in BANDS if delta_e < band.below), BANDS[-1].words)


def grey_scale(delta_e: float) -> str:
    """The ISO 105-A02 grade, 5 (no change) to 1, of the greys that look most nearly as far apart.

    >>> grey_scale(0.1), grey_scale(1.6), grey_scale(20)
    ('5', '4', '1')
    """
    edges = [(a + b) / 2 for (_, a), (_, b) in itertools.pairwise(GREY_SCALE)]
    return GREY_SCALE[bisect.bisect_right(edges, delta_e)][0]
