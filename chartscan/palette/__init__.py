"""The user's thread range: files, matching, blends, measuring; only the loaders open files.

Measuring a palette calls the reader, so its names stay in ``card``, ``find_card`` and ``measure``.
"""

from chartscan.palette.blend import Blend, Blends, BlendSettings, find_blends
from chartscan.palette.compare import (
    Compared,
    Comparison,
    beyond_screen,
    compare_palettes,
)
from chartscan.palette.convert import Conversion, Conversions, convert_threads
from chartscan.palette.correction import Correction, CorrectionSettings, learn_correction
from chartscan.palette.fabric_colour import (
    FabricCandidate,
    FabricColour,
    hardly_seen,
    load_fabrics,
    nearest_fabrics,
)
from chartscan.palette.key import (
    find_thread,
    first_and_second,
    load_codes,
    load_key,
    load_strands,
)
from chartscan.palette.load import load_palette
from chartscan.palette.matching import match
from chartscan.palette.nearest import Wanted, nearest_threads, parse_wanted
from chartscan.palette.ownership import Owned, load_owned, unknown_codes
from chartscan.palette.remarks import label
from chartscan.palette.settings import MatchSettings
from chartscan.palette.shades import ShadeSettings
from chartscan.palette.thread import Candidate, Match, Matches, Palette, Thread
from chartscan.palette.twins import Twins, find_twins

__all__ = [
    "Blend",
    "BlendSettings",
    "Blends",
    "Candidate",
    "Compared",
    "Comparison",
    "Conversion",
    "Conversions",
    "Correction",
    "CorrectionSettings",
    "FabricCandidate",
    "FabricColour",
    "Match",
    "MatchSettings",
    "Matches",
    "Owned",
    "Palette",
    "ShadeSettings",
    "Thread",
    "Twins",
    "Wanted",
    "beyond_screen",
    "compare_palettes",
    "convert_threads",
    "find_blends",
    "find_thread",
    "find_twins",
    "first_and_second",
    "hardly_seen",
    "label",
    "learn_correction",
    "load_codes",
    "load_fabrics",
    "load_key",
    "load_owned",
    "load_palette",
    "load_strands",
    "match",
    "nearest_fabrics",
    "nearest_threads",
    "parse_wanted",
    "unknown_codes",
]
