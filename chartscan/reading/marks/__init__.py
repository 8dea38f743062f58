"""What lies over the cells: part stitches, backstitch, French knots; and the cells without it."""

from chartscan.reading.marks.find import Marks, find_marks

__all__ = ["Marks", "find_marks"]
