"""A chart as a value, free of the page it came from; only ``file`` and ``table`` touch the disk."""

from chartscan.chart.corrections.acts import Act
from chartscan.chart.corrections.replay import correct, replay, undo
from chartscan.chart.corrections.tell import tell
from chartscan.chart.doubts import Answer, Doubt, Question, QuestionKind
from chartscan.chart.file import dump_chart, load_chart, parse_chart, save_chart
from chartscan.chart.kinds import Corner, Kind, Shape
from chartscan.chart.model import Chart, ChartClass, Knot, Line, Part

__all__ = [
    "Act",
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
    "correct",
    "dump_chart",
    "load_chart",
    "parse_chart",
    "replay",
    "save_chart",
    "tell",
    "undo",
]
