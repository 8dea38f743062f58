"""Fabric and thread from the geometry of the stitches.

:func:`estimate` is the recipe. Nothing in here reads or writes a file but :mod:`calibration`.
"""

from chartscan.yardage.estimate import estimate
from chartscan.yardage.fabric import (
    MARGINS,
    Fit,
    Sheet,
    cut_size,
    finished_size,
    fits,
    make_fabric,
    sheet_for,
    stitches_per_inch,
    usual_strands,
)
from chartscan.yardage.requirement import (
    Fabric,
    LengthRange,
    Requirement,
    Requirements,
    Term,
    Work,
)
from chartscan.yardage.risk import combine, in_all, words
from chartscan.yardage.settings import EstimateSettings, Factor, Order, Supply

__all__ = [
    "MARGINS",
    "EstimateSettings",
    "Fabric",
    "Factor",
    "Fit",
    "LengthRange",
    "Order",
    "Requirement",
    "Requirements",
    "Sheet",
    "Supply",
    "Term",
    "Work",
    "combine",
    "cut_size",
    "estimate",
    "finished_size",
    "fits",
    "in_all",
    "make_fabric",
    "sheet_for",
    "stitches_per_inch",
    "usual_strands",
    "words",
]
