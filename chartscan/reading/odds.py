"""Log-odds as chances."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

SURE = 50.0  # nats beyond which a chance is nought or one; the power of many more overflows


def chance_of(nats: ArrayLike) -> NDArray[Any]:
    """The probability, 0 to 1, that log-odds (nats, of any shape) come to."""
    return np.asarray(1 / (1 + np.exp(-np.clip(nats, -SURE, SURE))))
