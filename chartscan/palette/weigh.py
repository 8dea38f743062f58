"""What each thread of a range would cost for each wanted colour: difference, ownership, rules."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chartscan.colour import ciede2000_matrix, directions, grade
from chartscan.palette.ownership import USUAL_METRES, Owned
from chartscan.palette.thread import Candidate, Palette, Thread

Array = NDArray[np.float64]

USUAL_STRANDS = 6  # of stranded cotton, where the palette says nothing (common practice)


@dataclass(frozen=True, eq=False)
class Range:
    """Threads to choose from, in order of line and code, so that a file's order changes nothing.

    Attributes:
        threads: the threads.
        lab: their CIELAB, (threads, 3).
        owned: skeins of each at hand, (threads,); None where no stash was given.
        owned_mm: single strand at hand of each, (threads,); 0 where no stash was given.
        current: which can still be bought, (threads,).
    """

    threads: tuple[Thread, ...]
    lab: Array
    owned: Array | None
    owned_mm: Array
    current: NDArray[np.bool_]

    def index(self, thread: Thread) -> int:
        """Position of ``thread``; -1 where it isn't among them."""
        try:
            return self.threads.index(thread)
        except ValueError:
            return -1


@dataclass(frozen=True)
class Costs:
    """What each thread would cost for each wanted colour.

    Attributes:
        wanted: CIELAB of the colours, (colours, 3).
        delta_e: ΔE00, (colours, threads).
        cost: ``delta_e`` less what owning counts for; infinity = not allowed, (colours, threads).
    """

    wanted: Array
    delta_e: Array
    cost: Array


def thread_range(palette: Palette, owned: Owned | None) -> Range:
    """The threads of ``palette`` ready to be weighed."""
    threads = tuple(sorted(palette.threads, key=lambda t: (t.line, t.code)))
    skeins = None if owned is None else np.array([owned.of(t) for t in threads], dtype=np.float64)
    per_skein = np.array(
        [(t.metres or USUAL_METRES) * (t.strands or USUAL_STRANDS) * 1000 for t in threads]
    )
    return Range(
        threads=threads,
        lab=Palette(threads).lab,
        owned=skeins,
        owned_mm=np.zeros(len(threads)) if skeins is None else skeins * per_skein,
        current=np.array([t.status == "current" for t in threads], dtype=bool),
    )


def weigh(
    wanted: ArrayLike,
    offered: Range,
    needs_mm: ArrayLike = 0.0,
    own_within: float | None = None,
    discontinued: bool = False,
) -> Costs:
    """Weigh every thread for every wanted colour.

    Args:
        wanted: CIELAB, (colours, 3).
        offered: the threads.
        needs_mm: single strand that each colour takes, (colours,) or one for all: a discontinued
            thread may be used only where so much of it is at hand.
        own_within: ΔE00 up to which a thread at hand wins over one that isn't; None = it doesn't.
        discontinued: whether discontinued threads may be used though they aren't at hand.
    """
    lab = np.asarray(wanted, dtype=np.float64).reshape(-1, 3)
    delta_e = ciede2000_matrix(lab, offered.lab)
    cost = delta_e.copy()
    if own_within is not None and offered.owned is not None:
        # Less the whole closeness: any owned thread within it then beats any that isn't owned.
        cost[(offered.owned > 0) & (delta_e <= own_within)] -= own_within
    if not discontinued and not offered.current.all():
        need = np.broadcast_to(np.asarray(needs_mm, dtype=np.float64), len(lab))[:, None]
        at_hand = (offered.owned_mm > 0) & (offered.owned_mm >= need)
        cost[~(offered.current | at_hand)] = np.inf
    return Costs(lab, delta_e, cost)


def nearest_first(costs: Costs, count: int) -> NDArray[np.intp]:
    """The ``count`` nearest threads that each colour may have, nearest first: (colours, ≤ count).

    Threads that aren't allowed come last; check ``costs.cost``.
    """
    delta_e = np.where(np.isinf(costs.cost), np.inf, costs.delta_e)
    count = min(count, delta_e.shape[1])
    if 0 < count < delta_e.shape[1]:
        some = np.sort(np.argpartition(delta_e, count - 1, axis=1)[:, :count], axis=1)
    else:
        some = np.broadcast_to(np.arange(delta_e.shape[1]), delta_e.shape)[:, :count]
    rank = np.argsort(np.take_along_axis(delta_e, some, axis=1), axis=1, kind="stable")
    return np.take_along_axis(some, rank, axis=1)


def with_alternatives(
    costs: Costs, offered: Range, chosen: NDArray[np.intp], count: int
) -> list[tuple[Candidate, ...]]:
    """For each colour its ``chosen`` thread, then up to ``count`` others, nearest first."""
    pairs: list[tuple[int, int]] = []
    lengths: list[int] = []
    ranked = nearest_first(costs, count + 1)
    allowed = np.isfinite(np.take_along_axis(costs.cost, ranked, axis=1)).tolist()
    for at, (first, row, may) in enumerate(
        zip(chosen.tolist(), ranked.tolist(), allowed, strict=True)
    ):
        others = [t for t, is_allowed in zip(row, may, strict=True) if is_allowed and t != first]
        pairs += [(at, t) for t in [first, *others[:count]]]
        lengths.append(1 + len(others[:count]))
    made = iter(candidates(costs, offered, pairs))
    return [tuple(itertools.islice(made, length)) for length in lengths]


def candidates(costs: Costs, offered: Range, pairs: Sequence[tuple[int, int]]) -> list[Candidate]:
    """A :class:`Candidate` for each (colour, thread) of ``pairs``."""
    if not pairs:
        return []
    colours, threads = np.array(pairs, dtype=np.intp).T
    words = directions(costs.wanted[colours], offered.lab[threads])
    delta_e = costs.delta_e[colours, threads].tolist()
    skeins = [None] * len(pairs) if offered.owned is None else offered.owned[threads].tolist()
    return [
        Candidate(offered.threads[thread], difference, grade(difference), word, at_hand)
        for thread, difference, word, at_hand in zip(
            threads.tolist(), delta_e, words, skeins, strict=True
        )
    ]
