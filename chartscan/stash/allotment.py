"""How much of a thread a project gets from the drawer, and which skeins. Pure arithmetic.

Lengths are millimetres of put-up, that is of the thread before its strands are parted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from chartscan.stash.rules import Rules


class Shelf(NamedTuple):
    """Unopened skeins of one dye lot: the stock's id, the lot ("" unknown), how many."""

    stock: int
    dye_lot: str
    skeins: int


class PartSkein(NamedTuple):
    """One opened skein: the stock's id, the lot ("" unknown), the length left."""

    stock: int
    dye_lot: str
    length_mm: int


@dataclass(frozen=True)
class Supply:
    """What is free of one thread, or what one project holds of it."""

    shelves: tuple[Shelf, ...] = ()
    parts: tuple[PartSkein, ...] = ()

    @property
    def skeins(self) -> int:
        """Unopened skeins of all lots."""
        return sum(shelf.skeins for shelf in self.shelves)

    @property
    def parts_mm(self) -> int:
        """Length of all part skeins."""
        return sum(part.length_mm for part in self.parts)

    @property
    def lots(self) -> set[str]:
        """The dye lots that there are."""
        return {s.dye_lot for s in self.shelves} | {p.dye_lot for p in self.parts}

    def length_mm(self, putup_mm: int) -> int:
        """Length of everything."""
        return self.skeins * putup_mm + self.parts_mm

    def of_lot(self, dye_lot: str) -> Supply:
        """What is of one dye lot."""
        return Supply(
            tuple(s for s in self.shelves if s.dye_lot == dye_lot),
            tuple(p for p in self.parts if p.dye_lot == dye_lot),
        )


EMPTY = Supply()


@dataclass(frozen=True)
class Take:
    """What is taken for a need.

    Attributes:
        skeins: (stock id, number) of unopened skeins.
        parts: (stock id, length) of part skeins, each in whole.
        spare_mm: by how much skeins and parts are longer than the need; 0 where any are lacking.
        lack: skeins that are missing.
    """

    skeins: tuple[tuple[int, int], ...]
    parts: tuple[tuple[int, int], ...]
    spare_mm: int
    lack: int


def skeins_for(length_mm: int, putup_mm: int) -> int:
    """The least number of put-ups that hold ``length_mm``."""
    return max(0, -(-length_mm // putup_mm))


def needed_length(high_mm: int, strands: int, skeins: int, putup_mm: int) -> int:
    """Length of put-up to have for a need, such that it takes just ``skeins`` fresh put-ups.

    Args:
        high_mm: the upper end of the single-strand length.
        strands: strands that the put-up divides into.
        skeins: put-ups that the estimate asks for at the risk chosen.
        putup_mm: length of one put-up.
    """
    least = max(0, skeins - 1) * putup_mm + (1 if skeins else 0)
    return min(max(-(-high_mm // strands), least), skeins * putup_mm)


def usable(free: Supply, rules: Rules) -> Supply:
    """What of the free stock the stitcher's rules let a project count on."""
    if rules.fresh_unless_more_than and free.skeins <= rules.fresh_unless_more_than:
        return EMPTY
    parts = tuple(
        p for p in free.parts if rules.parts_count and p.length_mm >= rules.smallest_part_mm
    )
    if not rules.keep_back:
        return Supply(free.shelves, parts)
    over = max(0, free.skeins - rules.keep_back)
    shelves: list[Shelf] = []
    for shelf in free.shelves:
        kept = min(shelf.skeins, over)
        over -= kept
        if kept:
            shelves.append(shelf._replace(skeins=kept))
    return Supply(tuple(shelves), parts)


def take(length_mm: int, putup_mm: int, held: Supply, free: Supply, rules: Rules) -> Take:
    """Cover a need from the free stock, part skeins first, then the fewest unopened skeins.

    Args:
        length_mm: length of put-up needed.
        putup_mm: length of one put-up.
        held: what the project holds already.
        free: what isn't promised to anyone.
        rules: the stitcher's own.
    """
    rest = length_mm - held.length_mm(putup_mm)
    if rest <= 0:
        return Take((), (), 0, 0)
    free = usable(free, rules)
    if not rules.same_dye_lot:
        return _cover(rest, putup_mm, free)
    whole = [
        covered
        for lot in _lots(held, free)
        if not (covered := _cover(rest, putup_mm, _trusted(free.of_lot(lot), lot))).lack
    ]
    if whole:
        return min(whole, key=lambda t: (sum(n for _, n in t.skeins), t.spare_mm))
    return Take((), (), 0, skeins_for(rest, putup_mm))


def lacking(length_mm: int, putup_mm: int, held: Supply, free: Supply, rules: Rules) -> int:
    """Skeins that are missing for a need: :func:`take` without choosing which ones to take."""
    rest = length_mm - held.length_mm(putup_mm)
    if rest <= 0:
        return 0
    if rules.same_dye_lot:
        return take(length_mm, putup_mm, held, free, rules).lack
    skeins, parts_mm = free.skeins, 0
    if rules.fresh_unless_more_than and skeins <= rules.fresh_unless_more_than:
        return skeins_for(rest, putup_mm)
    if rules.parts_count:
        smallest = rules.smallest_part_mm
        parts_mm = sum(p.length_mm for p in free.parts if p.length_mm >= smallest)
    return max(0, skeins_for(rest - parts_mm, putup_mm) - max(0, skeins - rules.keep_back))


def _lots(held: Supply, free: Supply) -> list[str]:
    """The lots to choose from: the one that the project holds already, else any that is free."""
    mine, there = held.lots, free.lots
    if mine:
        return sorted(mine & there - {""}) if len(mine) == 1 else []
    return sorted(there)


def _trusted(supply: Supply, lot: str) -> Supply:
    """Of skeins whose lot isn't known, a single one: two may not match."""
    if lot:
        return supply
    if supply.shelves:
        return Supply((supply.shelves[0]._replace(skeins=1),))
    return Supply(parts=tuple(sorted(supply.parts, key=lambda p: -p.length_mm)[:1]))


def _cover(length_mm: int, putup_mm: int, free: Supply) -> Take:
    whole = skeins_for(length_mm - free.parts_mm, putup_mm)
    taken = min(whole, free.skeins)
    parts = _choose_parts(length_mm - whole * putup_mm, free.parts)
    spare = taken * putup_mm + sum(mm for _, mm in parts) - length_mm
    return Take(
        tuple(_choose_skeins(taken, free.shelves)), tuple(parts), max(0, spare), whole - taken
    )


def _choose_parts(length_mm: int, parts: Sequence[PartSkein]) -> list[tuple[int, int]]:
    """The fewest part skeins that hold ``length_mm``, the last one as short as will do."""
    chosen: list[tuple[int, int]] = []
    left = sorted(parts, key=lambda p: (-p.length_mm, p.stock))
    while length_mm > 0 and left:
        fitting = [p for p in left if p.length_mm >= length_mm]
        part = fitting[-1] if fitting else left[0]
        left.remove(part)
        chosen.append((part.stock, part.length_mm))
        length_mm -= part.length_mm
    return chosen


def _choose_skeins(number: int, shelves: Sequence[Shelf]) -> list[tuple[int, int]]:
    """Skeins of one lot where a lot has enough (the smallest such), else from the fullest lots."""
    fitting = sorted((s for s in shelves if s.skeins >= number), key=lambda s: s.skeins)
    if number and fitting:
        return [(fitting[0].stock, number)]
    chosen: list[tuple[int, int]] = []
    for shelf in sorted(shelves, key=lambda s: (-s.skeins, s.stock)):
        taken = min(number, shelf.skeins)
        if taken:
            chosen.append((shelf.stock, taken))
            number -= taken
    return chosen


# ---------------------------------------------------------------------------- several projects


@dataclass(frozen=True)
class Jointly:
    """What several projects must buy of one thread.

    Attributes:
        skeins: put-ups to buy when skeins may be divided among the projects.
        apart: put-ups to buy when each project keeps to skeins of its own.
    """

    skeins: int
    apart: int


def buy_for_all(
    needs: Sequence[tuple[int, Supply]], putup_mm: int, free: Supply, rules: Rules
) -> Jointly:
    """What to buy so that every project can be kitted, one after the other.

    Args:
        needs: (length of put-up needed, what the project holds already) in the order of kitting.
        putup_mm: length of one put-up.
        free: what isn't promised to anyone.
        rules: the stitcher's own; part skeins that don't count can't be shared either.
    """
    if len(needs) == 1:
        length, held = needs[0]
        lack = lacking(length, putup_mm, held, free, rules)
        return Jointly(lack, lack)
    apart = _buy_in_turn(needs, putup_mm, free, replace(rules, share_skeins=False))
    if not (rules.share_skeins and rules.parts_count):
        return Jointly(apart, apart)
    return Jointly(min(apart, _buy_in_turn(needs, putup_mm, free, rules)), apart)


def _buy_in_turn(
    needs: Sequence[tuple[int, Supply]], putup_mm: int, free: Supply, rules: Rules
) -> int:
    bought = 0
    for turn, (length, held) in enumerate(needs):
        taken = take(length, putup_mm, held, free, rules)
        bought += taken.lack
        if turn < len(needs) - 1:
            free = _after(free, taken, putup_mm, length - held.length_mm(putup_mm), rules)
    return bought


def left_after(free: Supply, taken: Take) -> Supply:
    """The free stock once a project has set ``taken`` apart."""
    gone = dict(taken.skeins)
    used = {stock for stock, _ in taken.parts}
    shelves = (s._replace(skeins=s.skeins - gone.get(s.stock, 0)) for s in free.shelves)
    return Supply(
        tuple(s for s in shelves if s.skeins),
        tuple(p for p in free.parts if p.stock not in used),
    )


def _after(free: Supply, taken: Take, putup_mm: int, length_mm: int, rules: Rules) -> Supply:
    """The free stock once a project has taken its things and bought what it lacked."""
    left = left_after(free, taken)
    had = sum(n for _, n in taken.skeins) + taken.lack
    spare = had * putup_mm + sum(mm for _, mm in taken.parts) - length_mm
    if rules.share_skeins and length_mm > 0 and spare >= rules.smallest_part_mm:
        mark = min((0, *(part.stock for part in left.parts))) - 1  # no stock's, no other rest's
        return replace(left, parts=(*left.parts, PartSkein(mark, "", spare)))
    return left
