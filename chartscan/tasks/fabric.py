"""Fabric and thread needs: sizes, metres and skeins on one fabric or on several."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.errors import YardageError
from chartscan.yardage import (
    MARGINS,
    EstimateSettings,
    Fabric,
    Requirements,
    cut_size,
    estimate,
    finished_size,
    fits,
    make_fabric,
    words,
)
from chartscan.yardage.fabric import cautions
from chartscan.yardage.settings import Supply

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.stash.paper import FabricLabel
    from chartscan.yardage import Fit, Requirement
    from chartscan.yardage.requirement import Factor


@dataclass(frozen=True)
class Sizes:
    """Width and height in mm: as worked, and as cut with its margins."""

    finished_mm: tuple[float, float]
    cut_mm: tuple[float, float]


@dataclass(frozen=True)
class FittingPiece:
    """A piece from the drawer that holds every copy, and how they lie on it."""

    piece: FabricLabel
    fit: Fit


def choose_fabric(
    count: float,
    over: int = 1,
    count_down: float | None = None,
    rgb: tuple[int, int, int] | None = None,
    name: str = "",
) -> Fabric:
    """A fabric by its threads per inch and the threads that a stitch crosses.

    Raises:
        YardageError: they make no cloth.
    """
    made = make_fabric(count, over, count_down)
    return Fabric(made.count, made.over, made.count_down, rgb, name)


def way_of_working(
    finish: str | None = None,
    own_factor: bool = True,
    **told: Any,  # noqa: ANN401 - any field of the settings
) -> EstimateSettings:
    """How the work is done: what was told, and the usual where nothing was.

    Args:
        finish: kind of finishing that the margin goes by (:data:`MARGINS`); None for the usual.
        own_factor: reckon with what finished work has taught.
        told: fields of :class:`EstimateSettings`.

    Raises:
        YardageError: something told makes no sense.
    """
    if finish is not None:
        if "margin_mm" in told:
            raise YardageError("a finish and a margin can't both be told: either says the margin")
        if finish not in MARGINS:
            raise YardageError(f"no finish {finish!r}; there are {', '.join(MARGINS)}")
        told["margin_mm"] = MARGINS[finish]
    if own_factor:
        told["factor"] = learnt_factor()
    return EstimateSettings(**told)


def learnt_factor() -> Factor:
    """The stitcher's own factor, from what finished work took.

    Only the command line: on the worktable the way of working has it in it.
    """
    from chartscan.yardage.calibration import load_book, own_factor, usage_path

    return own_factor(load_book(usage_path()))


def size_on(chart: Chart, fabric: Fabric, margin_mm: float) -> Sizes:
    """How large the chart comes out on a fabric, and what to cut; needs no estimate.

    Only the worktable: a command that says sizes works out the thread as well.

    Raises:
        YardageError: the margin makes no sense.
    """
    finished = finished_size(chart.columns, chart.rows, fabric)
    return Sizes(finished, cut_size(finished, margin_mm))


def estimate_on(
    chart: Chart,
    fabrics: Sequence[Fabric],
    working: EstimateSettings,
    sold: Supply = Supply(),
) -> tuple[Requirements, ...]:
    """Sizes, thread and skeins on each fabric, to be laid side by side.

    Args:
        chart: the chart.
        fabrics: the fabrics.
        working: how the work is done.
        sold: what a skein of every thread holds.

    Only the command line: the worktable knows the threads, and takes the kit's figures.

    Raises:
        YardageError: the chart can't be worked so.
    """
    supplies = {c.index: sold for c in chart.classes}
    return tuple(estimate(chart, fabric, working, supplies) for fabric in fabrics)


def with_margin(found: Requirements, chart: Chart, margin_mm: float) -> Requirements:
    """An estimate with another margin, which changes the cloth to cut and nothing of the thread.

    Only the worktable: a slider moves the margin there.

    Raises:
        YardageError: the margin makes no sense.
    """
    return replace(
        found,
        margin_mm=margin_mm,
        cut_mm=cut_size(found.finished_mm, margin_mm),
        warnings=cautions(found.fabric, found.finished_mm, margin_mm, parts=bool(chart.parts)),
    )


def chance_words(enough: Sequence[float]) -> str:
    """What each further skein buys, in words; ``enough`` is the chance that 1, 2, … suffice."""
    return words(enough)


def explain(found: Requirements, index: int | None = None) -> tuple[Requirement, ...]:
    """The classes whose lengths are to be explained term by term: one, or all.

    Raises:
        YardageError: no such class is worked.
    """
    chosen = tuple(r for r in found.threads if index is None or r.class_index == index)
    if not chosen:
        worked = ", ".join(str(r.class_index) for r in found.threads)
        raise YardageError(f"no class {index} is worked; there are {worked}")
    return chosen


def fit_on(piece_mm: tuple[float, float], found: Requirements) -> Fit:
    """How many copies come out of a piece of that size.

    Only the command line: the worktable lays the chart on the drawer's own pieces.

    Raises:
        YardageError: the piece has no size.
    """
    return fits(piece_mm, found.cut_mm)


def pieces_that_fit(
    stash: Path, fabric: Fabric, cut_mm: tuple[float, float], copies: int = 1
) -> tuple[FittingPiece, ...]:
    """The free pieces of the drawer of that count that hold every copy, smallest first.

    Only the worktable: on the command line ``project plan`` says it for a project.

    Raises:
        StashError: the stash can't be opened.
    """
    from chartscan.stash.fabrics import fabric_label, free_pieces
    from chartscan.stash.ledger import open_ledger

    with open_ledger(stash) as ledger:
        pieces = [fabric_label(row) for row in free_pieces(ledger, fabric.count)]
    laid = [FittingPiece(piece, fits(piece.size_mm, cut_mm)) for piece in pieces]
    holding = [one for one in laid if one.fit.copies >= copies]
    return tuple(sorted(holding, key=lambda one: one.piece.size_mm[0] * one.piece.size_mm[1]))
