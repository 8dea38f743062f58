"""What to mind before the first stitch, on papers and in tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chartscan.colour import srgb_to_lab
from chartscan.palette.bleeding import Lab, bleeding_words
from chartscan.report.terminal import RGB

if TYPE_CHECKING:
    from chartscan.palette import Matches
    from chartscan.stash.kit import Kit

# Common practice, no source.
LOTS = (
    "Buy all skeins of one colour in one go, from one dye lot where the band or label names it: "
    "the same number dyed on another day can differ."
)
ONE_LOT = "Buy all skeins of a colour in one go, from one dye lot."
MIXED_LOTS = "Some colours are here in several dye lots, which may differ: compare before you mix."
BLEEDING = (
    "Dark and red threads may bleed: wet a piece, press it in white cloth, and look before you "
    "stitch with it on pale fabric."
)
DAYLIGHT = (
    "Screens and prints don't show thread colours truly: lay the real thread beside the chart in "
    "daylight before you decide."
)
MEASURE = (
    "Measure your fabric before you cut: lay a ruler along ten stitches each way; the two ways can "
    "differ."
)


def kit_bleeding(kit: Kit) -> str:
    """Which of the kit's threads may bleed on its fabric, and what to do; "" where none does."""
    return bleeding_words((line.thread for line in kit.threads), _lab(kit.fabric.rgb))


def matches_bleeding(matches: Matches, cloth: RGB | None) -> str:
    """The same of threads that were only matched, on fabric of this colour (None: not known)."""
    chosen = (each for m in matches.matches for each in (m.chosen.thread, m.blended) if each)
    return bleeding_words(chosen, _lab(cloth))


def _lab(rgb: RGB | None) -> Lab | None:
    if rgb is None:
        return None
    lightness, a, b = srgb_to_lab(rgb).tolist()
    return lightness, a, b


def kit_cautions(kit: Kit) -> tuple[str, ...]:
    """All that the kit sheet says at its foot; threads that may bleed by their codes."""
    return LOTS, kit_bleeding(kit) or BLEEDING, DAYLIGHT, MEASURE
