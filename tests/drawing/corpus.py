"""The groups of test charts: a name and a seed in, a sample out."""

from __future__ import annotations

import numpy as np

from tests.drawing import recipes
from tests.drawing.sample import Group, Sample

GROUPS: dict[str, Group] = {**recipes.GROUPS}


def draw(group: str, seed: int) -> Sample:
    """Chart ``seed`` of ``group``; the same arguments always give the same bytes.

    Raises:
        KeyError: no group has that name.
    """
    name = np.frombuffer(group.encode(), np.uint8)
    return GROUPS[group](np.random.default_rng([seed, *name.tolist()]))
