"""A chart as a value, free of the page it came from; only ``file`` in here touches the disk."""

from chartscan.chart.doubts import Answer, Doubt, Question, QuestionKind
from chartscan.chart.file import dump_chart, load_chart, parse_chart, save_chart
from chartscan.chart.model import Chart, ChartClass, Corner, Kind, Knot, Line, Part, Shape

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
