"""What lies over the cells: part stitches, backstitch, French knots; and the cells without it."""

from chartscan.reading.marks.find import find_marks
from chartscan.reading.marks.marks import Marks

__all__ = ["Marks", "find_marks"]
