"""All threads of a project together, against projects counted one by one."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.yardage import (
    Drawn,
    LengthRange,
    Requirement,
    RunsOut,
    Supply,
    combine,
    enough_for_all,
    runs_out,
    runs_out_words,
)

SKEIN = Supply().strand_mm
Floats = NDArray[np.float64]


def _thread(index: int, drawn: Floats) -> Requirement:
    mean = float(drawn.mean())
    length = LengthRange(mean, mean, mean)
    part = Requirement(index, 10, (), 2, length, 0.0, 3, 1, drawn=Drawn(drawn, drawn))
    return combine([part], Supply())


def _threads(number: int, shared: float, seed: int = 3) -> list[Requirement]:
    """Threads near one skein whose deviations are ``shared`` by the hand, the rest their own."""
    rng = np.random.default_rng(seed)
    hand = rng.standard_normal(20_000)
    means = rng.uniform(0.7, 1.2, number) * SKEIN
    own = rng.standard_normal((number, hand.size))
    z = shared**0.5 * hand + (1 - shared) ** 0.5 * own
    return [
        _thread(k, mean * (1 + 0.06 * row))
        for k, (mean, row) in enumerate(zip(means, z, strict=True))
    ]


def _counted(threads: list[Requirement]) -> float:
    """The share of projects in which something runs out, project by project."""
    drawn = [r.drawn.put_up_mm for r in threads if r.drawn is not None]
    projects = zip(*(d.tolist() for d in drawn), strict=True)
    at_hand = [r.skeins * SKEIN for r in threads]
    short = [any(use > have for use, have in zip(p, at_hand, strict=True)) for p in projects]
    return sum(short) / len(short)


@pytest.mark.parametrize("shared", [0.0, 0.7, 1.0])
def test_the_chance_is_the_share_of_projects_in_which_something_runs_out(shared: float) -> None:
    """Whatever the threads have in common."""
    threads = _threads(12, shared)
    assert runs_out(threads).chance == pytest.approx(_counted(threads), abs=1e-4)


def test_one_hand_for_all_runs_out_less_often_than_many() -> None:
    """30 threads, each short in up to 5 of 100: in far more where each has a hand of its own."""
    apart, together = (runs_out(_threads(30, shared)).chance for shared in (0.0, 1.0))
    assert together <= 0.05 < apart


@pytest.mark.parametrize("risk", [0.01, 0.05, 0.2])
def test_the_risk_of_the_project_is_kept_with_few_skeins(risk: float) -> None:
    """No skein of those added could be left out, and the chance told for each thread goes along."""
    threads = _threads(20, 0.5)
    kept = list(enough_for_all(threads, risk, "project"))
    assert _counted(kept) <= risk + 1e-4
    for k, (before, after) in enumerate(zip(threads, kept, strict=True)):
        assert len(after.enough) == after.skeins >= before.skeins
        if after.skeins > before.skeins:
            fewer = [*kept[:k], before, *kept[k + 1 :]]
            assert _counted(fewer) > risk - 1e-4
    assert enough_for_all(threads, risk, "thread") == tuple(threads)


def test_the_skein_that_helps_most_is_named() -> None:
    """Every other one leaves a greater chance."""
    threads = _threads(8, 0.3, seed=5)
    found = runs_out(threads)
    assert found.mend is not None
    chances = []
    for k in range(len(threads)):
        enough = combine([threads[k]], Supply(metres=16))
        chances.append(runs_out([*threads[:k], enough, *threads[k + 1 :]]).chance)
    assert found.mended == pytest.approx(chances[found.mend])
    assert found.mended == pytest.approx(min(chances), abs=2e-3)


def test_it_is_said_in_words() -> None:
    """In projects of a hundred; nothing is promised for all of them."""
    assert runs_out_words(RunsOut(0.07, 1, 0.04), ["A", "B"]) == (
        "Some thread runs out in 7 of 100 such projects; one more skein of B makes it 4."
    )
    assert runs_out_words(RunsOut(0.0001), []).startswith("Some thread runs out in less than 1 of")
