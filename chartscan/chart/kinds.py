"""The words of the chart file for what a class is and how a part stitch lies in its cell."""

from __future__ import annotations

from typing import Literal

Kind = Literal["empty", "stitch", "line", "knot"]
Shape = Literal["triangle", "quarter"]
Corner = Literal["top left", "top right", "bottom left", "bottom right"]
RGB = tuple[int, int, int]
