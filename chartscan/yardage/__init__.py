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
    Drawn,
    Fabric,
    Factor,
    LengthRange,
    Requirement,
    Requirements,
    RunsOut,
    Term,
    Work,
)
from chartscan.yardage.risk import combine, in_all, rests_on, words
from chartscan.yardage.settings import EstimateSettings, Order, Supply
from chartscan.yardage.together import enough_for_all, runs_out, runs_out_words

__all__ = [
    "MARGINS",
    "Drawn",
    "EstimateSettings",
    "Fabric",
    "Factor",
    "Fit",
    "LengthRange",
    "Order",
    "Requirement",
    "Requirements",
    "RunsOut",
    "Sheet",
    "Supply",
    "Term",
    "Work",
    "combine",
    "cut_size",
    "enough_for_all",
    "estimate",
    "finished_size",
    "fits",
    "in_all",
    "make_fabric",
    "rests_on",
    "runs_out",
    "runs_out_words",
    "sheet_for",
    "stitches_per_inch",
    "usual_strands",
    "words",
]
