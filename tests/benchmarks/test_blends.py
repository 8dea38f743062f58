"""How much of the brute force's time the exact search for blends takes."""

from __future__ import annotations

import time
from collections.abc import Callable
from statistics import median

import numpy as np
import pytest

from chartscan.colour import ciede2000_matrix, lab_to_linear, linear_to_lab, srgb_to_lab
from chartscan.palette.blend import mix_pairs, nearest_pairs

TARGETS, THREADS, RUNS = 100, 500, 3


@pytest.mark.benchmark
@pytest.mark.parametrize(
    ("name", "threads", "targets"),
    [
        ("a range over all colours", (0, 255), (0, 255)),
        ("a dull range", (40, 200), (20, 220)),
    ],
)
def test_best_of_all_pairs_takes_a_quarter_of_brute_force_at_most(
    name: str, threads: tuple[int, int], targets: tuple[int, int]
) -> None:
    rng = np.random.default_rng(500)
    lab = srgb_to_lab(rng.uniform(*threads, (THREADS, 3)))
    aims = srgb_to_lab(rng.uniform(*targets, (TARGETS, 3)))

    def brute() -> list[float]:
        first, second = np.triu_indices(THREADS, 1)
        linear = lab_to_linear(lab)
        mixed = linear_to_lab((linear[first] + linear[second]) / 2)
        return [float(ciede2000_matrix(aim, mixed).min()) for aim in aims]

    def search() -> list[float]:
        pairs = mix_pairs(lab)
        return [float(nearest_pairs(aim, pairs, 1)[1][0]) for aim in aims]

    slow, expected = timed(brute)
    fast, found = timed(search)
    print(f"\n{name}: brute {slow:.2f} s, search {fast:.3f} s, ratio {fast / slow:.3f}")  # noqa: T201 - a benchmark's product is its figures
    np.testing.assert_array_equal(found, expected)
    assert fast <= 0.25 * slow


def timed(work: Callable[[], list[float]]) -> tuple[float, list[float]]:
    """Median seconds of a few runs, and the result."""
    seconds = []
    result: list[float] = []
    for _ in range(RUNS):
        start = time.perf_counter()
        result = work()
        seconds.append(time.perf_counter() - start)
    return median(seconds), result
