"""Corrections of one reading carried over to another of the same page.

Each act lands where it belonged or is set adrift, to be asked about; none lands elsewhere. A class
is found again by all of its cells: most of them are one class in the other reading, and most of
that class's cells are theirs.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import assert_never

import numpy as np

from chartscan.chart.corrections.acts import (
    Act,
    Adrift,
    Apart,
    AsRead,
    Bare,
    Block,
    Cell,
    ClassRef,
    Colour,
    Colours,
    Corners,
    Ground,
    IsKind,
    LookAgain,
    Made,
    Name,
    One,
    PutKnot,
    PutLine,
    PutPart,
    SetCells,
    Size,
    Split,
    Symbol,
    TakeKnot,
    TakeLine,
    TakePart,
    Turn,
    Whole,
)
from chartscan.chart.corrections.apply import apply
from chartscan.chart.corrections.bench import QUARTER, Lost, piece_point
from chartscan.chart.corrections.lines import hex_of, line_of
from chartscan.chart.corrections.overlay import Overlay
from chartscan.chart.corrections.replay import replay
from chartscan.chart.corrections.twins import Mask, Twins, TwinSettings, Unsure, as_blocks
from chartscan.chart.kinds import Corner
from chartscan.chart.model import Chart, Part

OTHER_PICTURE = "it tells places on another picture"
NO_OVERLAY = "the two readings can't be laid over each other"


def carry(
    old: Chart, new: Chart, overlay: Overlay | None, settings: TwinSettings = TwinSettings()
) -> Chart:
    """The reading ``new`` with the corrections of ``old``, another reading of the same page.

    Args:
        old: a chart with corrections.
        new: the other reading, without any.
        overlay: how the reading of ``old`` lies over ``new``; None where that isn't known, so that
            all is asked about.
        settings: when a class of one is one of the other.
    """
    return replay(new, [act for landed in carried(old, new, overlay, settings) for act in landed])


def carried(
    old: Chart, new: Chart, overlay: Overlay | None, settings: TwinSettings = TwinSettings()
) -> list[list[Act]]:
    """What each correction of ``old`` is in ``new`` (:func:`carry`): itself, adrift, or both."""
    read = old.as_read or old
    one_picture = read.source.get("sha256") == new.source.get("sha256")
    twins = None if overlay is None else Twins(read, new, overlay, settings)
    all_landed = []
    for act in old.corrections:
        landed = _followed(act, twins, one_picture=one_picture)
        if twins is not None:
            _bring_on(twins, act, landed)
        all_landed.append(landed)
    return all_landed


def adrift(chart: Chart) -> int:
    """How many of a chart's corrections have no place in it."""
    return sum(isinstance(act, Adrift) for act in chart.corrections)


def _bring_on(twins: Twins, act: Act, landed: list[Act]) -> None:
    """Apply an act to both readings, so that later ones find classes as they then were."""
    with suppress(Lost):
        apply(twins.before, act)
    for one in landed:
        with suppress(Lost):
            apply(twins.after, one)


def _followed(act: Act, twins: Twins | None, *, one_picture: bool) -> list[Act]:
    """What an act is in the other reading: itself in its place, or adrift, or in part."""
    match act:
        case Adrift() | Size() | Turn() | Colours() | AsRead() | LookAgain():
            return [act]
        case Corners():
            return [act if one_picture else Adrift(line_of(act), OTHER_PICTURE)]
        case _ if twins is None:
            return [Adrift(line_of(act), NO_OVERLAY)]
        case _:
            return _landed(act, twins)


def _landed(act: Act, twins: Twins) -> list[Act]:
    try:
        if isinstance(act, SetCells):
            return _set(act, twins)
        return [_one_place(act, twins)]
    except Unsure as unsure:
        aimed = (_aimed(act, ref) for ref in unsure.instead)
        instead = (*unsure.acts, *(one for one in aimed if one is not None))
        return [Adrift(line_of(act), str(unsure), instead)]
    except Lost as lost:
        return [Adrift(line_of(act), str(lost))]


def _aimed(act: Act, ref: ClassRef) -> Act | None:
    """The same act said of another class; None where it isn't said of one."""
    if isinstance(act, Whole | Name | Colour | Symbol | IsKind):
        return replace(act, of=ref)
    if isinstance(act, Ground) and len(act.classes) == 1:
        return Ground((ref,))
    return None


def _one_place(act: Act, twins: Twins) -> Act:
    """The act in its place; Unsure where it has none."""
    match act:
        case One():
            return _one(act, twins)
        case Apart():
            return _apart(act, twins)
        case Split():
            return _split(act, twins)
        case Ground():
            return Ground(tuple(twins.ref(ref) for ref in act.classes))
        case Whole() | Name() | Colour() | Symbol() | IsKind():
            return replace(act, of=twins.ref(act.of))
        case PutPart():
            cell, corner = _corner(twins, act.row, act.column, act.corner)
            return PutPart(*cell, act.shape, corner, twins.ref(act.of))
        case TakePart():
            cell, corner = _corner(twins, act.row, act.column, act.corner)
            return TakePart(*cell, corner)
        case PutLine():
            return PutLine(twins.ref(act.of), tuple(map(twins.point, act.points)))
        case TakeLine():
            return TakeLine(tuple(map(twins.point, act.points)))
        case PutKnot():
            return PutKnot(twins.ref(act.of), *twins.point((act.x, act.y)))
        case TakeKnot():
            return TakeKnot(*twins.point((act.x, act.y)))
        case SetCells() | Size() | Corners() | Turn() | Colours() | AsRead() | LookAgain():
            return act  # done elsewhere
        case Adrift():
            return act
        case _:
            assert_never(act)


# ------------------------------------------------------------------------------- cells


def _set(act: SetCells, twins: Twins) -> list[Act]:
    """The cells that have a place are set; those that have none are adrift."""
    blocks, off = twins.blocks(act.blocks)
    found: list[Act] = []
    if blocks:
        into = act.into if isinstance(act.into, Bare) else twins.ref(act.into)
        found.append(SetCells(blocks, into))
    if off:
        left: tuple[Block, ...] = tuple((r, c, r, c) for r, c in off)
        line = line_of(replace(act, blocks=left if blocks else act.blocks))
        found.append(Adrift(line, "its cells aren't surely in this reading"))
    return found


def _corner(twins: Twins, row: int, column: int, corner: Corner) -> tuple[Cell, Corner]:
    """Where a quarter of a cell is; Unsure where its cell has no sure place."""
    cell = twins.cell((row, column))
    if cell is None:
        raise Unsure("its cell isn't surely in this reading")
    x, y = twins.point(piece_point(Part(row, column, "quarter", corner, 0)))
    right, down = x - cell[1] > 2 * QUARTER, y - cell[0] > 2 * QUARTER
    return cell, CORNERS[int(down)][int(right)]


CORNERS: tuple[tuple[Corner, Corner], ...] = (
    ("top left", "top right"),
    ("bottom left", "bottom right"),
)

# ----------------------------------------------------------------------------- classes


def _one(act: One, twins: Twins) -> Act:
    """Classes that are one: by their own cells, as the other reading may have them as one already.

    Taken together they must be what they were, whichever way they fall apart.
    """
    classes = [twins.before.find(ref) for ref in act.classes]
    there: list[int] = []
    refs: list[ClassRef] = []
    for ref, index in zip(act.classes, classes, strict=True):
        held = twins.held(ref, -1) if len(set(classes)) < len(classes) else ref
        place = twins.commonest([index]) if held is ref else twins.where(held)
        if place is None:
            raise Unsure("one of its classes was read as several")
        kept = twins.held(ref, place)
        if twins.where(kept) != place:
            raise Unsure("one of its classes isn't where it was in this reading")
        there.append(place)
        refs.append(kept)
    if not twins.alike(classes, there):
        raise Unsure("its classes were read otherwise")
    return One(tuple(refs))


def _apart(act: Apart, twins: Twins) -> Act:
    """Classes that are several; where they were read as one, to split it is offered."""
    try:
        return Apart(tuple(twins.ref(ref) for ref in act.classes))
    except Unsure as unsure:
        reason = "what was told to be several classes is read otherwise"
        raise Unsure(reason, acts=_split_again(act, twins)) from unsure


def _split_again(act: Apart, twins: Twins) -> tuple[Act, ...]:
    """The split that says what ``act`` said, where two classes were read as one."""
    if len(act.classes) != 2:
        return ()
    first, second = (twins.before.find(ref) for ref in act.classes)
    there = twins.commonest([first, second])
    entry = twins.before.classes[second]
    blocks, _ = twins.blocks(
        as_blocks({(int(r), int(c)) for r, c in np.argwhere(twins.before.mask(second))})
    )
    if there is None or not blocks:
        return ()
    word = entry.symbol or (hex_of(entry.rgb) if entry.rgb else str(second))
    return (Split(twins.after.ref(there), blocks, Made(word, entry.rgb)),)


def _split(act: Split, twins: Twins) -> Act:
    """A class that is two; where the other reading has it as two already, that stays so."""
    index = twins.before.find(act.of)
    within = _within(act.blocks, twins.before.cells.shape)
    blocks, off = twins.blocks(act.blocks)
    if not blocks or off:
        raise Unsure("its cells aren't surely in this reading")
    rest, split_off = (twins.commonest([index], part) for part in (~within, within))
    if rest is None or split_off is None or rest == split_off:
        return Split(twins.ref(act.of), blocks, act.into)
    if not twins.alike([index], [rest, split_off]):
        raise Unsure("its class was read otherwise")
    return Split(twins.held(act.of, rest), blocks, act.into)


def _within(blocks: tuple[Block, ...], shape: tuple[int, ...]) -> Mask:
    mask = np.zeros(shape, dtype=bool)
    for top, left, bottom, right in blocks:
        mask[top : bottom + 1, left : right + 1] = True
    return mask
