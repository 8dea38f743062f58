"""What a person picks for a class, as both faces keep it (:mod:`chartscan.palette.picks`)."""

from __future__ import annotations

from chartscan.palette.picks import ClassMark, Found, Pick, find_class, find_picks, mark_class

__all__ = ["ClassMark", "Found", "Pick", "find_class", "find_picks", "mark_class"]
