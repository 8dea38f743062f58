"""A chart as a value, free of the page it came from; only ``file`` and ``table`` touch the disk.

What corrects one, ``corrections``, is loaded by those who correct.
"""

from chartscan.chart.doubts import Answer, Doubt, Question, QuestionKind
from chartscan.chart.file import dump_chart, load_chart, parse_chart, save_chart
from chartscan.chart.kinds import Corner, Kind, Shape
from chartscan.chart.model import Chart, ChartClass, Knot, Line, Part

__all__ = [
    "Answer",
    "Chart",
    "ChartClass",
    "Corner",
    "Doubt",
    "Kind",
    "Knot",
    "Line",
    "Part",
    "Question",
    "QuestionKind",
    "Shape",
    "dump_chart",
    "load_chart",
    "parse_chart",
    "save_chart",
]
