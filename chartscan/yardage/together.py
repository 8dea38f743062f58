"""All threads of a project together: the chance that one of them runs out, and what mends it.

Draw by draw the threads are worked by the same hand, so that those who use much use much of all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from chartscan.yardage.requirement import Requirement, RiskOf, RunsOut
from chartscan.yardage.risk import chances, drawn_of

MOST_ADDED = 5  # skeins more per thread; who wants to be surer than that can't be helped by skeins


def runs_out(threads: Sequence[Requirement]) -> RunsOut:
    """How likely it is that ``threads``, a requirement for each, don't all last."""
    short = _short(threads, [r.skeins for r in threads])
    chance = _any(short)
    mend = _helps_most(short)
    if mend is None:
        return RunsOut(chance)
    more = [r.skeins + (k == mend) for k, r in enumerate(threads)]
    return RunsOut(chance, mend, _any(_short(threads, more)))


def enough_for_all(
    threads: Sequence[Requirement], risk: float, risk_of: RiskOf
) -> tuple[Requirement, ...]:
    """``threads`` with as many skeins as the risk asks for, where it is told for the project.

    Skein by skein the thread is given one more that runs out in most of the projects in which
    something runs out; one that is short alone counts for more than one of several.
    """
    if risk_of == "thread":
        return tuple(threads)
    skeins = [r.skeins for r in threads]
    short = _short(threads, skeins)
    for _ in range(MOST_ADDED * len(threads)):
        mend = _helps_most(short)
        if mend is None or _any(short) <= risk:
            break
        skeins[mend] += 1
        short[mend] = _short(threads[mend : mend + 1], skeins[mend : mend + 1])[0]
    return tuple(_with_skeins(r, k) for r, k in zip(threads, skeins, strict=True))


def _with_skeins(requirement: Requirement, skeins: int) -> Requirement:
    if skeins == requirement.skeins:
        return requirement
    enough = chances(drawn_of(requirement).put_up_mm, requirement.put_up_mm, skeins)
    return replace(requirement, skeins=skeins, enough=enough)


def _short(threads: Sequence[Requirement], skeins: Sequence[int]) -> NDArray[np.bool_]:
    """Where each thread runs out, by thread and drawn project, shape (k, n)."""
    at_hand = [count * r.put_up_mm for count, r in zip(skeins, threads, strict=True)]
    called_for = np.stack([drawn_of(r).put_up_mm for r in threads])
    return np.asarray(called_for > np.array(at_hand)[:, None] * (1 + 1e-12))


def _helps_most(short: NDArray[np.bool_]) -> int | None:
    """The thread that a skein more helps most: each project counts as one, shared by the short."""
    several = np.maximum(short.sum(axis=0), 1)
    blame = (short / several).sum(axis=1)
    return int(blame.argmax()) if blame.max(initial=0.0) > 0 else None


def _any(short: NDArray[np.bool_]) -> float:
    """The share of projects in which some thread is short; never quite 0 or 1."""
    run_out = int(np.count_nonzero(short.any(axis=0)))
    return (run_out + 0.5) / (int(short.shape[1]) + 1)


def runs_out_words(found: RunsOut, names: Sequence[str]) -> str:
    """The chance in a sentence; ``names`` says what each thread is called."""
    text = f"Some thread runs out in {_of_100(found.chance)} of 100 such projects"
    if found.mend is None or _of_100(found.mended) == _of_100(found.chance):
        return f"{text}."
    return f"{text}; one more skein of {names[found.mend]} makes it {_of_100(found.mended)}."


def _of_100(chance: float) -> str:
    """A chance in plain words; never 0, since nobody can promise that."""
    return "less than 1" if chance < 0.005 else str(round(100 * chance))
