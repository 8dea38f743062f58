"""Classes that may be one: asked where their looks leave it open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chartscan.chart import Answer, Chart, Question
from chartscan.reading.doubt.asked import Asked, alternating, named, sentence, spread
from chartscan.reading.doubt.numbers import Numbered


@dataclass(frozen=True)
class SameDoubts:
    """When it is asked whether classes are one.

    Attributes:
        asked: least chance. Of 497 pairs of drawn charts (seeds 70001 to 70060) none below was one.
    """

    asked: float = 0.1


def same_questions(
    chart: Chart, known: Sequence[Numbered], settings: SameDoubts = SameDoubts()
) -> list[Asked]:
    """A question for every two classes that may be one."""
    likeliest: dict[tuple[int, int], float] = {}
    for page in known:
        for one, other, chance in page.clues.alike:
            a, b = int(page.classes[one]), int(page.classes[other])
            if a == b or min(a, b) < 0:
                continue
            pair = (a, b) if (b, a) not in likeliest else (b, a)
            likeliest[pair] = max(chance, likeliest.get(pair, 0.0))
    return [
        _question(chart, one, other, chance)
        for (one, other), chance in likeliest.items()
        if chance >= settings.asked
        and "stitch" in (chart.classes[one].kind, chart.classes[other].kind)
    ]


def _question(chart: Chart, one: int, other: int, chance: float) -> Asked:
    answers = (
        Answer("they are two", f"apart {one} {other}", 1 - chance),
        Answer("they are one class", f"one {one} {other}", chance),
    )
    text = sentence(
        f"{named(chart, one)}, and {named(chart, other)}, were taken for two: they differ by "
        "little more than the page's own noise"
    )
    smaller = min(int((chart.cells == k).sum()) for k in (one, other))
    cells = alternating(spread(chart.cells == one), spread(chart.cells == other))
    likely = tuple(sorted(answers, key=lambda a: -a.chance))
    return Asked(Question("same", (one, other), cells, text, likely), smaller * chance)
