"""Which questions corrections leave open, and those that a correction without a place brings up."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Protocol

from chartscan.chart.corrections.acts import Act, Adrift, ClassRef
from chartscan.chart.corrections.bench import Bench
from chartscan.chart.corrections.lines import line_of, renumbered
from chartscan.chart.doubts import Answer, Question, QuestionKind
from chartscan.chart.model import Chart

MOST_LOST = 8  # lost corrections that are asked about one by one; the rest are one question
CLASS_WORDS = re.compile(r"\b([Cc]lass(?:es)?) (\d+(?:(?:, | and | or )(?:class )?\d+)*)")
KINDS: Mapping[str, QuestionKind] = {
    "ground": "ground",
    "one": "same",
    "apart": "same",
    "split": "mixed",
    "whole": "mixed",
    "part": "marks",
    "take part": "marks",
    "line": "marks",
    "take line": "marks",
    "knot": "marks",
    "take knot": "marks",
}
"""What a question about a lost act is about; of any other, about its place on the page."""


class _Lost(Protocol):
    """A correction that has no place: its number from 0, itself, and why."""

    @property
    def number(self) -> int: ...
    @property
    def act(self) -> Act: ...
    @property
    def reason(self) -> str: ...


def open_questions(bench: Bench, new: Mapping[int, int]) -> tuple[Question, ...]:
    """The reader's questions that no correction has settled, in the classes' numbers by now."""
    apart = {frozenset((bench.root(a), bench.root(b))) for a, b in bench.apart}
    whole = {bench.root(index) for index in bench.whole}
    still = []
    for question in bench.read.questions:
        if question.kind in bench.settled:
            continue
        roots = list(dict.fromkeys(bench.root(index) for index in question.classes))
        numbers = {index: new.get(bench.root(index)) for index in range(len(bench.read.classes))}
        if any(root not in new for root in roots) and question.kind != "ground":
            continue
        if question.kind == "same" and (len(roots) < 2 or _all_apart(roots, apart)):
            continue
        if question.kind == "mixed" and whole.issuperset(roots):
            continue
        still.append(_renumbered(question, numbers))
    return tuple(still)


def _all_apart(roots: Sequence[int], apart: set[frozenset[int]]) -> bool:
    return all(frozenset((a, b)) in apart for i, a in enumerate(roots) for b in roots[i + 1 :])


def _renumbered(question: Question, numbers: Mapping[int, int | None]) -> Question:
    """A question in other numbers, its words included; answers that name a class gone are left."""
    if all(old == new for old, new in numbers.items()):
        return question
    told = ((answer, renumbered(answer.tell, numbers)) for answer in question.answers)
    classes = (numbers[index] for index in question.classes)
    return replace(
        question,
        classes=tuple(dict.fromkeys(index for index in classes if index is not None)),
        text=_words(question.text, numbers),
        answers=tuple(
            replace(answer, tell=tell, text=_words(answer.text, numbers))
            for answer, tell in told
            if tell is not None
        ),
    )


def _words(text: str, numbers: Mapping[int, int | None]) -> str:
    """Text in which "class 4" and "classes 3 and 5" are called by their new numbers."""

    def by_now(match: re.Match[str]) -> str:
        def number(digits: re.Match[str]) -> str:
            new = numbers.get(int(digits[0]))
            return digits[0] if new is None else str(new)

        return f"{match[1]} {re.sub(r'[0-9]+', number, match[2])}"

    return CLASS_WORDS.sub(by_now, text)


# -------------------------------------------------------------------------- lost acts


def lost_questions(chart: Chart, lost: Sequence[_Lost]) -> tuple[Question, ...]:
    """What is to be asked about corrections without a place; ``chart`` is the one after them."""
    each = [_lost_question(chart, one) for one in lost[:MOST_LOST]]
    rest = lost[MOST_LOST:]
    if rest:
        numbers = ",".join(str(one.number + 1) for one in rest)
        text = f"{len(rest)} more corrections have no place in this reading."
        answer = Answer("Leave them out.", f"undo {numbers}", HALF)
        each.append(Question("page", (), (), text, (answer,)))
    return tuple(each)


HALF = 0.5  # chance: nothing is known of how likely a correction is to be needed still


def _lost_question(chart: Chart, lost: _Lost) -> Question:
    act, number = lost.act, lost.number + 1
    line = act.line if isinstance(act, Adrift) else line_of(act)
    instead = act.instead if isinstance(act, Adrift) else ()
    share = HALF / max(1, len(instead))
    answers = [
        Answer(f"It is now: {line_of(one)}", f"instead {number} {line_of(one)}", share)
        for one in instead
    ]
    answers.append(Answer("Leave it out.", f"undo {number}", 1 - HALF))
    verb = line.split(" ", 1)[0] if isinstance(act, Adrift) else act.verb
    text = f"Correction {number}, {line!r}, has no sure place in this reading: {lost.reason}."
    return Question(KINDS.get(verb, "page"), (), _cells_of(chart, instead), text, tuple(answers))


def _cells_of(chart: Chart, acts: Sequence[Act]) -> tuple[tuple[int, int], ...]:
    """Cells that show what the acts would be about."""
    found: list[tuple[int, int]] = []
    for act in acts:
        for top, left, *_ in getattr(act, "blocks", ()):
            found.append((top, left))
        ref: ClassRef | None = getattr(act, "of", None)
        found += getattr(ref, "cells", ())
    return tuple((r, c) for r, c in found if r < chart.rows and c < chart.columns)[:40]
