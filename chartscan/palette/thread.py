"""The values of this wing: a thread, a range of threads, and what was matched to what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Status = Literal["current", "discontinued"]


@dataclass(frozen=True)
class Thread:
    """One thread of a range.

    Attributes:
        code: the number or name it is asked for by; unique within its line.
        name: its colour name, or "".
        lab: CIELAB under D65, 2° observer.
        rgb: the nearest sRGB colour 0..255, for swatches.
        line: the maker's line or range, or "".
        status: whether it can still be bought.
        metres: length of one put-up (skein, ball, spool) in metres; None where not known.
        strands: strands it divides into; 1 for a thread that isn't divided; None where not known.
        price: price of one put-up in the user's own currency; None where not known.
        colours: the sRGB colours of a variegated thread, else (); ``lab`` is their mean.
        kind: what it is made as: cotton, pearl, metallic, silk, wool, other; "" where not known.
        size: of a pearl cotton, the greater the thinner; None where not known.
        working_mm: length cut for the needle; None for the usual.
        tail_mm: length left in the needle; None for the usual.
        in_needle: strands in the needle for crosses; None for the usual.
        hand: what it takes as a share of the usual.
        told: false for :func:`no_thread`, which stands where nobody has named a thread yet.
    """

    code: str
    name: str
    lab: tuple[float, float, float]
    rgb: tuple[int, int, int]
    line: str = ""
    status: Status = "current"
    metres: float | None = None
    strands: int | None = None
    price: float | None = None
    colours: tuple[tuple[int, int, int], ...] = ()
    kind: str = ""
    size: float | None = None
    working_mm: float | None = None
    tail_mm: float | None = None
    in_needle: int | None = None
    hand: float = 1.0
    told: bool = True


UNTOLD = "no thread told"
"""The name and grade of what stands where a thread is yet to be named."""


def no_thread(class_index: int) -> Thread:
    """What stands for the thread of a class that has no colour and that no key names.

    Each class has one of its own, so that none is taken for another's; its grey is never matched.
    """
    return Thread(f"?{class_index}", UNTOLD, (50.0, 0.0, 0.0), (119, 119, 119), told=False)


@dataclass(frozen=True)
class Palette:
    """A thread range in its file's order, where it came from, and what is odd about it."""

    threads: tuple[Thread, ...]
    source: str = ""
    warnings: tuple[str, ...] = ()

    @property
    def lab(self) -> NDArray[np.float64]:
        """CIELAB of every thread, shape (threads, 3)."""
        return np.array([t.lab for t in self.threads], dtype=np.float64).reshape(-1, 3)


@dataclass(frozen=True)
class Candidate:
    """A thread as a stand-in for one colour: how far off it is, and which way.

    Attributes:
        thread: the thread.
        delta_e: CIEDE2000 from the wanted colour to the thread.
        grade: the difference in plain words (:func:`chartscan.colour.grade`).
        direction: how the thread differs, in words ("lighter, greyer"), or "".
        owned: whole or part skeins at hand that aren't promised elsewhere; None where not known.
    """

    thread: Thread
    delta_e: float
    grade: str
    direction: str = ""
    owned: float | None = None


@dataclass(frozen=True)
class Match:
    """The thread chosen for one class of a chart.

    Attributes:
        class_index: the class in the chart.
        rgb: its colour on the page; None where the page has one ink and the key named the thread.
        chosen: the thread it gets.
        alternatives: the next best, nearest first, the chosen one left out.
        margin: ΔE00 by which the chosen one beats the second best, what owning counts for included;
            where every class has a thread of its own, by how much the total would rise at least
            without it here. None where there is no other, or it was taken for another reason.
        keyed: the user's key named the thread; nothing was matched by colour.
        corrected: ``rgb`` as the colours learnt from the key make it, which is what was matched;
            None where it was matched as printed.
        blended: the second thread of a two-thread blend, one strand of each; None as a rule.
        picked: the user picked the thread, and no key names it; ``keyed`` is true as well.
        own: the nearest thread at hand where the chosen one isn't; None where there is none.
    """

    class_index: int
    rgb: tuple[int, int, int] | None
    chosen: Candidate
    alternatives: tuple[Candidate, ...] = ()
    margin: float | None = None
    keyed: bool = False
    blended: Thread | None = None
    corrected: tuple[int, int, int] | None = None
    picked: bool = False
    own: Candidate | None = None


@dataclass(frozen=True)
class Matches:
    """Every match of a chart, by class index, and what the stitcher should know about them.

    Attributes:
        matches: one per class that is worked.
        warnings: what needs a look, a line each.
        notes: how it was done, where that isn't plain: colours learnt, means of variegated threads.
    """

    matches: tuple[Match, ...]
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
