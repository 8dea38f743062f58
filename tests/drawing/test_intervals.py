"""The interval of a share, held against published values."""

from __future__ import annotations

import pytest

from tests.drawing.intervals import wilson


@pytest.mark.parametrize(
    ("hits", "number", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_it_is_wilson_s(hits: int, number: int, low: float, high: float) -> None:
    """Newcombe (1998), Statistics in Medicine 17, 857-872, table I, method 3."""
    assert wilson(hits, number) == pytest.approx((low, high), abs=5e-5)
