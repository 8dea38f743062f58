"""How threads are chosen: every choice and threshold of a match, in one value."""

from __future__ import annotations

from dataclasses import dataclass, field

from chartscan.errors import MatchError
from chartscan.palette.shades import ShadeSettings


@dataclass(frozen=True)
class MatchSettings:
    """How threads are chosen.

    Attributes:
        distinct: every stitched class gets a thread of its own; backstitch and knots may share.
        keep_shades: shades of one hue stay in order of lightness and clearly stepped; with
            ``at_most`` they are only watched.
        at_most: use no more than this many threads, merging what shows least; None = no limit.
        own_within: ΔE00 up to which a thread at hand wins; None = being owned doesn't count.
        as_printed: match the chart's colours as they are, whatever the key teaches about them.
        discontinued: use discontinued threads though they aren't at hand.
        alternatives: how many next best threads to name.
        tie: ΔE00 within which two threads count as equally near; measuring cotton again doesn't
            come closer than this (common practice, no source).
        stitch_mm: single strand that a full stitch takes, for judging whether a discontinued thread
            at hand is enough: two strands on 14 per inch, 8.76 mm each at least by geometry, two
            thirds of the thread ending up in crosses (common practice).
        line_mm: single strand per cell of backstitch: 3 cells of 1.81 mm, two thirds used.
        knot_mm: single strand per knot (common practice).
        shades: what counts as shades of one hue.
    """

    distinct: bool = False
    keep_shades: bool = False
    at_most: int | None = None
    own_within: float | None = None
    as_printed: bool = False
    discontinued: bool = False
    alternatives: int = 4
    tie: float = 0.1
    stitch_mm: float = 26.0
    line_mm: float = 8.0
    knot_mm: float = 30.0
    shades: ShadeSettings = field(default_factory=ShadeSettings)

    def __post_init__(self) -> None:
        if self.at_most is not None and self.at_most < 1:
            raise MatchError("at most 0 threads can't work a chart; allow at least one")
        if self.at_most is not None and self.distinct:
            raise MatchError("a thread for each colour and few threads can't go together")
        if self.own_within is not None and not self.own_within >= 0:
            raise MatchError("the closeness within which threads at hand win can't be below 0")
