"""What the stitcher told about a chart: what needn't be asked, and what isn't so on the page."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from chartscan.chart import Chart
from chartscan.chart.doubts import QuestionKind
from chartscan.colour import srgb_to_lab

Rgb = tuple[int, int, int]

NEAR = 6.0  # CIELAB difference up to which a class has the colour told: a picked pixel has noise


def settled_kinds(
    *, size: bool, ground: bool, colours: bool, layout: bool
) -> frozenset[QuestionKind]:
    """The kinds of questions that are settled by what was told; nothing is asked of those."""
    told: dict[QuestionKind, bool] = {
        "size": size,
        "ground": ground,
        "same": colours,
        "mixed": colours,
        "page": layout and size,
    }
    return frozenset(kind for kind, settled in told.items() if settled)


def not_borne_out(chart: Chart, empty: Rgb | None, colours: int | None) -> Iterator[str]:
    """What was told and isn't so on the page, a sentence each.

    Args:
        chart: the chart as read.
        empty: sRGB told of bare fabric, or None.
        colours: number of stitched colours told, or None.
    """
    found = sum(c.kind == "stitch" for c in chart.classes)
    if colours is not None and found != colours:
        yield (
            f"{colours} colours were told, but {found} {'is' if found == 1 else 'are'} told apart "
            "on the page: two classes are still to be made one, or one to be split"
        )
    if empty is None:
        return
    told = "#{:02x}{:02x}{:02x}".format(*empty)
    grounds = [c for c in chart.classes if c.kind == "empty" and c.rgb is not None]
    if not grounds:
        yield f"bare fabric was told to be {told}, but no class is; no fabric is taken for bare"
        return
    taken = grounds[0]
    off = float(
        np.linalg.norm(
            srgb_to_lab(np.array(taken.rgb, dtype=np.float64))
            - srgb_to_lab(np.array(empty, dtype=np.float64))
        )
    )
    if off > NEAR:
        is_now = "#{:02x}{:02x}{:02x}".format(*(taken.rgb or (0, 0, 0)))
        yield (
            f"bare fabric was told to be {told}, but no class is; the nearest, class {taken.index} "
            f"({is_now}, ΔE {off:.0f} off), is taken for bare fabric"
        )
