"""The groups of test charts: a name and a seed in, a sample out."""

from __future__ import annotations

import numpy as np

from tests.drawing.covered_recipes import COVERED_GROUPS
from tests.drawing.damage_recipes import DAMAGE_GROUPS
from tests.drawing.file_recipes import FILE_GROUPS
from tests.drawing.mark_recipes import MARK_GROUPS
from tests.drawing.odd_recipes import ODD_GROUPS
from tests.drawing.plate_recipes import PLATE_GROUPS
from tests.drawing.recipes import CLEAN_GROUPS
from tests.drawing.sample import Group, Sample
from tests.drawing.symbol_recipes import SYMBOL_GROUPS
from tests.drawing.text_recipes import TEXT_GROUPS

GROUPS: dict[str, Group] = {
    **CLEAN_GROUPS,
    **SYMBOL_GROUPS,
    **DAMAGE_GROUPS,
    **MARK_GROUPS,
    **FILE_GROUPS,
    **ODD_GROUPS,
    **COVERED_GROUPS,
    **PLATE_GROUPS,
    **TEXT_GROUPS,
}


def draw(group: str, seed: int) -> Sample:
    """Chart ``seed`` of ``group``; the same arguments always give the same bytes.

    Raises:
        KeyError: no group has that name.
    """
    name = np.frombuffer(group.encode(), np.uint8)
    return GROUPS[group](np.random.default_rng([seed, *name.tolist()]))
