"""How many columns two neighbouring pages have in common, found by matching their cells.

Everything is said for pages side by side; pages one above the other come in transposed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart
from chartscan.colour.contrast import WHITE
from chartscan.errors import GridError
from chartscan.reading.lattice.bold import Bold
from chartscan.remedies import Remedy

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
WORN = 24.0  # of 255, in any channel: how far colours of one thread differ on worn pages


ONE_SHADE = 64  # levels (0..255) that colours span at least to tell a factor from an offset


@dataclass(frozen=True)
class OverlapSettings:
    """How overlaps are looked for and believed.

    Attributes:
        most: columns that may repeat; printed charts repeat up to five.
        agree: share of repeated cells that must agree on exact pages; readings of scans err.
        agree_told: ... where shading or bold lines say how many columns repeat.
        lead: ... or where it agrees better than every other overlap by so much.
        level: how far two pages' colours of the same thread may differ, of 255, on exact pages.
        shade_share: share of a shaded column's cells whose colour is found elsewhere on its page.
        darkest: least factor by which shading darkens.
        shade_gain: how much better the match must be for shading to be believed.
        telling: cells that must differ from their neighbours across for a match to tell anything.
    """

    most: int = 12
    agree: float = 0.97
    agree_told: float = 0.85
    lead: float = 0.25
    level: float = 6.0
    shade_share: float = 0.25
    darkest: float = 0.4
    shade_gain: float = 0.05
    telling: int = 3


@dataclass(frozen=True, eq=False)
class Sheet:
    """One page as it is compared: colour and symbol per cell.

    Attributes:
        colour: sRGB per cell, float, shape (rows, columns, 3).
        sign: symbol number per cell, 0 for none, shape (rows, columns).
        exact: whether colours are exact (a lossless page).
        bold: bold upright lines, or None where none were found.
        name: for messages.
    """

    colour: Floats
    sign: NDArray[np.int32]
    exact: bool
    bold: Bold | None
    name: str

    @staticmethod
    def of(
        chart: Chart,
        numbers: NDArray[np.int32],
        axis: int,
        bold: Bold | None = None,
        *,
        exact: bool = False,
        name: str = "",
    ) -> Sheet:
        """A chart as it is compared side by side (``axis`` 0) or, transposed, one below the other.

        ``numbers`` are those of its classes' symbols.
        """
        paper = next((c.rgb for c in chart.classes if c.kind == "empty"), None) or WHITE
        table = np.array([c.rgb or paper for c in chart.classes], dtype=np.float64)
        cells = chart.cells if axis == 0 else chart.cells.T
        return Sheet(table[cells], numbers[cells], exact, bold, name)

    @property
    def columns(self) -> int:
        """Number of columns."""
        return int(self.sign.shape[1])


@dataclass(frozen=True)
class Overlap:
    """Columns that two pages have in common.

    Attributes:
        columns: how many.
        shaded: which of the two pages prints them shaded, if either.
        agreed: cells that agree.
        compared: cells compared.
        first_wrong: (row, column in the overlap) of the first cell that doesn't, or None.
        told: whether shading or bold lines say how many columns repeat.
        by_hand: whether the stitcher said so; then it isn't doubted.
        rival: how many columns the next best overlap has.
        rival_share: share of its cells that agree; 0 where there is none.
    """

    columns: int
    shaded: Literal["before", "after"] | None = None
    agreed: int = 0
    compared: int = 0
    first_wrong: tuple[int, int] | None = None
    told: bool = False
    by_hand: bool = False
    rival: int = 0
    rival_share: float = 0.0

    @property
    def share(self) -> float:
        """Share of the compared cells that agree; 1 where there are none."""
        return self.agreed / self.compared if self.compared else 1.0


def told_overlap(
    pairs: Sequence[tuple[Sheet, Sheet]],
    columns: int,
    settings: OverlapSettings = OverlapSettings(),
) -> Overlap:
    """The overlap of so many ``columns``, as the stitcher told it, however well it agrees.

    Raises:
        GridError: a page has no more columns than that.
    """
    narrowest = min(min(a.columns, b.columns) for a, b in pairs)
    if columns >= narrowest:
        raise GridError(
            f"{pairs[0][0].name} and {pairs[0][1].name} can't have {columns} columns or rows in "
            f"common: the smaller has {narrowest}",
            Remedy.TELL_REPEATS,
        )
    found = _compare(pairs, columns, settings) if columns else Overlap(0)
    return replace(found, told=True, by_hand=True)


def find_overlap(
    pairs: Sequence[tuple[Sheet, Sheet]], settings: OverlapSettings = OverlapSettings()
) -> Overlap:
    """The overlap at one seam, which all ``pairs`` of (before, after) along it share.

    What shading marks counts first, then what the bold lines count, then the widest overlap at
    which enough cells agree, then one that stands out. What is returned may agree badly: that is
    the caller's to judge (:attr:`Overlap.share` against :attr:`OverlapSettings.agree_told`).
    """
    most = min([settings.most, *(min(a.columns, b.columns) - 1 for a, b in pairs)])
    candidates = [_compare(pairs, count, settings) for count in range(1, most + 1)]
    found = _best(pairs, candidates, most, settings)
    others = [
        c
        for c in candidates
        if c.columns != found.columns and is_telling(pairs, c.columns, settings)
    ]
    rival = max(others, key=lambda c: c.share, default=Overlap(0))
    share = rival.share if rival.columns else 0.0
    return replace(found, rival=rival.columns, rival_share=share)


def _best(
    pairs: Sequence[tuple[Sheet, Sheet]],
    candidates: Sequence[Overlap],
    most: int,
    settings: OverlapSettings,
) -> Overlap:
    """The overlap that most speaks for, of one column more each."""
    shaded = _shaded_columns(pairs, most, settings)
    if shaded:
        trusted = _trusted(pairs, candidates[shaded - 1], settings)
        if trusted is not None:
            return replace(trusted, told=True)
    counted = _counted(pairs)
    if counted is not None:
        fitting = [c for c in candidates if (c.columns - counted[0]) % counted[1] == 0]
        good = [c for c in fitting if c.share >= settings.agree_told]
        if counted[0] == 0:  # none at all is likelier by far than a whole period of columns
            sure = (c for c in good if c.share >= settings.agree)
            good = [c for c in sure if c.shaded is None or shaded]
        if good:
            return replace(
                max(good, key=lambda c: (c.share >= settings.agree, c.columns)), told=True
            )
        if counted[0] == 0 and not shaded:
            return Overlap(0, told=True)
        trusted = _trusted(pairs, fitting[0], settings) if fitting else None
        if trusted is not None:
            return replace(trusted, told=True)
    good = [c for c in candidates if c.share >= settings.agree]
    telling = [c for c in good if is_telling(pairs, c.columns, settings)]
    if telling:
        return max(telling, key=lambda c: c.columns)
    best, *others = sorted(candidates, key=lambda c: -c.share) or [Overlap(0)]
    stands_out = all(best.share - c.share >= settings.lead for c in others)
    if stands_out and best.share >= settings.agree_told:
        return best
    return candidates[shaded - 1] if shaded else Overlap(0)


def _compare(
    pairs: Sequence[tuple[Sheet, Sheet]], count: int, settings: OverlapSettings
) -> Overlap:
    """Compare the last ``count`` columns of the pages before with the first of those after."""
    plain = [_agreeing(a, b, count, (1.0, 0.0), settings) for a, b in pairs]
    share = float(np.mean([flags.mean() for flags in plain]))
    fits = [_fit_shade(a, b, count, settings) for a, b in pairs]
    shaded: Literal["before", "after"] | None = None
    flags = plain
    dark = [_agreeing(a, b, count, f, settings) for (a, b), f in zip(pairs, fits, strict=True)]
    believable = all(settings.darkest <= s <= 1 / settings.darkest for s, _ in fits)
    if believable and np.mean([f.mean() for f in dark]) >= share + settings.shade_gain:
        flags = dark
        middle = np.mean([s * 255 + t for s, t in fits])
        shaded = "after" if middle < 255 else "before"
    wrong = np.argwhere(~np.concatenate(flags))
    return Overlap(
        columns=count,
        shaded=shaded,
        agreed=int(sum(f.sum() for f in flags)),
        compared=sum(f.size for f in flags),
        first_wrong=(int(wrong[0][0]), int(wrong[0][1])) if len(wrong) else None,
    )


def _trusted(
    pairs: Sequence[tuple[Sheet, Sheet]], told: Overlap, settings: OverlapSettings
) -> Overlap | None:
    """An overlap that shading or bold lines told of, if its cells bear it out; else None.

    Colours under symbols are read less surely; what goes with what must still be one rule.
    """
    if told.share >= settings.agree_told:
        return told
    by_kind = _compare_kinds(pairs, told.columns)
    return by_kind if by_kind.share >= settings.agree_told else None


def _compare_kinds(pairs: Sequence[tuple[Sheet, Sheet]], count: int) -> Overlap:
    """Compare without trusting any colour: each kind of cell must keep meeting the same kind."""
    flags, darker = [], 0.0
    for before, after in pairs:
        old, new = before.colour[:, -count:], after.colour[:, :count]
        flags.append(
            _usual(_kinds(old, before.sign[:, -count:]), _kinds(new, after.sign[:, :count]))
        )
        darker += float((old - new).mean())
    wrong = np.argwhere(~np.concatenate(flags))
    return Overlap(
        columns=count,
        shaded="after" if darker > 0 else "before",
        agreed=int(sum(f.sum() for f in flags)),
        compared=sum(f.size for f in flags),
        first_wrong=(int(wrong[0][0]), int(wrong[0][1])) if len(wrong) else None,
    )


def _kinds(colour: Floats, sign: NDArray[np.int32]) -> NDArray[np.int32]:
    """A number per cell for its colour and symbol together."""
    keys = np.concatenate([colour, sign[..., None]], axis=-1).reshape(-1, 4)
    numbers = np.unique(keys, axis=0, return_inverse=True)[1]
    return numbers.reshape(sign.shape).astype(np.int32)


def _agreeing(
    before: Sheet, after: Sheet, count: int, shade: tuple[float, float], settings: OverlapSettings
) -> Flags:
    """Which cells agree in sign and colour, ``after`` being factor times ``before`` plus offset."""
    level = _level(before, after, settings)
    factor, offset = shade
    old, new = before.colour[:, -count:], after.colour[:, :count]
    off = np.abs(new - (old * factor + offset)).max(axis=-1)
    # Where rows repeat too, both pages may print a cell shaded.
    off = np.minimum(off, np.abs(new - old).max(axis=-1))
    same: Flags = (off <= level) & _partners(before.sign[:, -count:], after.sign[:, :count])
    return same


def _partners(old: NDArray[np.int32], new: NDArray[np.int32]) -> Flags:
    """Which cells' symbols go together: the same one, or the one it meets most often here.

    A page may split one symbol into two, or its number may be missing from the other page.
    """
    together: Flags = _usual(old, new) & ((old > 0) == (new > 0)) | (old == new)
    return together


def _usual(old: NDArray[np.int32], new: NDArray[np.int32]) -> Flags:
    """Which cells hold a pair that is, for one of its two numbers, the one it is most often in."""
    met = np.zeros((int(old.max()) + 1, int(new.max()) + 1))
    np.add.at(met, (old, new), 1)
    usual = (met > 0) & ((met == met.max(axis=0)) | (met == met.max(axis=1)[:, None]))
    flags: Flags = usual[old, new]
    return flags


def _level(before: Sheet, after: Sheet, settings: OverlapSettings) -> float:
    return settings.level if before.exact and after.exact else WORN


def _fit_shade(
    before: Sheet, after: Sheet, count: int, settings: OverlapSettings
) -> tuple[float, float]:
    """Factor and offset from the colours of ``before`` to the shaded ones of ``after``.

    A grey laid over a colour, or multiplied with it, is such a line, the same for all three
    channels. Each colour of ``before`` counts once, with what it most often lies under.
    """
    old = before.colour[:, -count:].reshape(-1, 3)
    new = after.colour[:, :count].reshape(-1, 3)
    kinds, inverse = np.unique(old, axis=0, return_inverse=True)
    met = np.array([np.median(new[inverse.ravel() == k], axis=0) for k in range(len(kinds))])
    changed = np.abs(met - kinds).max(axis=1) > _level(before, after, settings)
    if not changed.any():
        return 1.0, 0.0
    x, y = kinds[changed].ravel(), met[changed].ravel()
    if np.ptp(x) < ONE_SHADE:  # one shade only: nothing tells factor from offset
        return 1.0, float(np.median(y - x))
    factor, offset = np.polyfit(x, y, 1)
    return float(factor), float(offset)


def _shaded_columns(
    pairs: Sequence[tuple[Sheet, Sheet]], most: int, settings: OverlapSettings
) -> int:
    """Leading columns of the pages after (or last ones of those before) printed in other shades."""
    after = min(_foreign_columns(b, most, settings) for _, b in pairs)
    mirrored = [Sheet(a.colour[:, ::-1], a.sign[:, ::-1], a.exact, None, a.name) for a, _ in pairs]
    before = min(_foreign_columns(a, most, settings) for a in mirrored)
    return max(after, before)


def _foreign_columns(sheet: Sheet, most: int, settings: OverlapSettings) -> int:
    """How many of the first columns hold almost only colours that the inner page doesn't.

    0 where that isn't so, or where no column after them is at home again.
    """
    level = settings.level if sheet.exact else WORN / 2
    most = min(
        most, *(side // 3 for side in sheet.sign.shape)
    )  # the rest is what it's held against
    inner = np.unique(sheet.colour[most:, most:].reshape(-1, 3), axis=0)
    if not len(inner):
        return 0
    kinds, inverse = np.unique(
        sheet.colour[:, : most + 1].reshape(-1, 3), axis=0, return_inverse=True
    )
    home = (np.abs(kinds[:, None] - inner[None]).max(axis=-1) <= level).any(axis=1)
    share = home[inverse.ravel()].reshape(len(sheet.colour), -1).mean(axis=0)
    foreign = share < settings.shade_share
    count = int(np.argmin(foreign)) if not foreign.all() else 0
    return count if count and share[count] > 1 - settings.shade_share else 0


def _counted(pairs: Sequence[tuple[Sheet, Sheet]]) -> tuple[int, int] | None:
    """Overlap modulo a period, from bold lines that run on across the seam; None without them."""
    found = set()
    for before, after in pairs:
        if before.bold is None or after.bold is None or before.bold.period != after.bold.period:
            return None
        period = before.bold.period
        found.add(((before.columns - before.bold.first + after.bold.first) % period, period))
    return found.pop() if len(found) == 1 else None


def is_telling(pairs: Sequence[tuple[Sheet, Sheet]], count: int, settings: OverlapSettings) -> bool:
    """Whether the overlap holds enough pattern that other overlaps would not agree as well."""
    changes = 0
    for before, _ in pairs:
        block = before.colour[:, -count - 1 :]
        across = (np.abs(np.diff(block, axis=1)).max(axis=-1) > settings.level).any(axis=1)
        signs = (np.diff(before.sign[:, -count - 1 :], axis=1) != 0).any(axis=1)
        changes += int((across | signs).sum())
    return changes >= settings.telling
