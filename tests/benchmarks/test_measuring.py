"""How near a palette measured from drawn cards comes to the truth, and how long it takes."""

from __future__ import annotations

import time

import numpy as np
import pytest

from chartscan.colour import ciede2000, srgb_to_lab
from chartscan.palette.card import CardThread, Reference
from chartscan.palette.find_card import find_card
from chartscan.palette.measure import measure
from tests.palette.drawn_card import Look, draw_card

SIX = [[240] * 3, [120] * 3, [190, 40, 40], [40, 120, 60], [40, 60, 150], [220, 190, 50]]
MIXED = ((0.85, 0.10, 0.05), (0.08, 0.75, 0.10), (0.02, 0.10, 0.60))
CARDS = 10


@pytest.mark.benchmark
@pytest.mark.parametrize(
    ("name", "look"),
    [
        ("warm light", Look()),
        ("channels mixed", Look(cast=MIXED)),
        ("dim to one side, tilted", Look(slope=0.25, tilt=20)),
        ("rough thread, noise", Look(texture=0.3, shine=0.15, gaps=0.15, noise=4)),
    ],
)
def test_measured_from_six_references(name: str, look: Look) -> None:
    off, seconds = [], []
    for seed in range(CARDS):
        others = np.random.default_rng(seed).uniform(15, 235, (42, 3))
        lab = srgb_to_lab(np.concatenate([SIX, others]))
        drawn = draw_card(lab, 8, look, seed)
        known = [
            Reference(i, (float(x), float(y), float(z))) for i, (x, y, z) in enumerate(lab[:6])
        ]
        start = time.perf_counter()
        lattice = find_card(drawn.pixels, (8, 6))
        card = [CardThread(f"T{i}") for i in range(48)]
        found = measure(drawn.pixels, lattice, card, known)
        seconds.append(time.perf_counter() - start)
        colours = np.array([t.lab for t in found.threads])
        off.append(ciede2000(colours, lab[[t.field - 1 for t in found.threads]])[6:])
    every = np.concatenate(off)
    print(  # noqa: T201 - a benchmark's product is its figures
        f"\n{name}: {CARDS} cards, ΔE00 mean {every.mean():.2f}, 95 in 100 within "
        f"{np.quantile(every, 0.95):.2f}, worst {every.max():.2f}; {np.median(seconds):.2f} s each"
    )
    assert every.mean() < 1.0
    assert every.max() < 2.5


WOUND = range(52101, 52109)  # none of these was looked at when the thresholds were set


@pytest.mark.benchmark
def test_wound_cards_of_every_kind_one_by_one() -> None:
    """24 to 100 fields, gaps to 18 %, sheen to 0.2, six references; 200 pixels a field or more."""
    for seed in WOUND:
        rng = np.random.default_rng(seed)
        number, columns = int(rng.integers(24, 101)), int(rng.integers(6, 13))
        look = Look(
            pitch=float(rng.choice([36, 40, 60])),
            texture=float(rng.uniform(0.1, 0.3)),
            shine=float(rng.uniform(0, 0.2)),
            gaps=float(rng.uniform(0, 0.18)),
            noise=float(rng.uniform(1, 4)),
            slope=float(rng.uniform(0, 0.2)),
            tilt=float(rng.uniform(0, 15)),
        )
        lab = srgb_to_lab(np.concatenate([SIX, rng.uniform(10, 240, (number - 6, 3))]))
        drawn = draw_card(lab, columns, look, seed)
        known = [
            Reference(i, (float(x), float(y), float(z))) for i, (x, y, z) in enumerate(lab[:6])
        ]
        blank = columns * -(-number // columns) - number
        card = [*(CardThread(f"T{i}") for i in range(number)), *[CardThread("-")] * blank]
        found = measure(drawn.pixels, drawn.lattice, card, known)
        measured = [t for t in found.threads if t.field > len(SIX)]
        off = ciede2000(np.array([t.lab for t in measured]), lab[[t.field - 1 for t in measured]])
        print(  # noqa: T201 - a benchmark's product is its figures
            f"\ncard {seed}, {number} fields of {look.pitch:g} px: mean {off.mean():.2f}, worst "
            f"{off.max():.2f}, {len(found.left_out)} left out",
            end="",
        )
        assert off.mean() < 1.0
        assert off.max() < 2.5
