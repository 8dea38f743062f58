"""``chartscan check``: go through what the reader isn't sure of."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chartscan.cli.correct import (
    open_chart_file,
    picture_option,
    result_option,
    say_what_is_left,
    standing,
)
from chartscan.cli.options import chart_argument, json_option, print_json
from chartscan.cli.outputs import check_outputs, overwrite_option, write_all
from chartscan.cli.saying import somebody_there
from chartscan.cli.sections import SectionedCommand

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from rich.console import Console

    from chartscan.chart import Chart, Question

LEAVE, STOP = "", "q"
OTHER_SIZE = '`chartscan correct CHART "size 60x58" --again`, as the chart prints it'


@click.command(cls=SectionedCommand, short_help="Go through what the reader isn't sure of.")
@chart_argument
@click.option(
    "--answer",
    "answers",
    multiple=True,
    metavar="N=K",
    help="Answer question N with its answer K, without being asked.",
)
@picture_option
@result_option
@overwrite_option
@json_option
def check(
    chart: Path,
    answers: tuple[str, ...],
    pictures: tuple[Path, ...],
    output: Path | None,
    as_json: bool,
) -> None:
    """Go through what the reader isn't sure of.

    CHART is a chart file. Each question is shown with the colours or symbols of the classes that it
    is about, and numbered answers; a number answers it, Enter leaves it open, q stops. What you
    answer is kept as a correction and never asked again.

    Where nobody sits at the terminal, the questions are listed and nothing is asked.

    \b
    Example: chartscan check chart.json
    """
    from chartscan.tasks import corrections as tasks

    check_outputs((output,), (*pictures, *([chart] if output is not None else [])))
    read = made = open_chart_file(chart)
    shown = pictures or tasks.pictures_beside(made, chart.parent)
    target = output or chart
    if answers:
        made = _answered(made, answers, shown)
        _save(made, target)
    elif output is not None:
        _save(made, target)
    if as_json:
        from chartscan.report.questions import questions_object

        print_json({"questions": questions_object(made)})
    elif answers or not somebody_there():
        _print_all(made)
    else:
        made = _ask_all(made, target, shown)
    if made != read:
        click.echo(standing(made, target), err=True)
        say_what_is_left(made, target)


def _save(chart: Chart, path: Path) -> None:
    from chartscan.chart import dump_chart

    write_all([(path, dump_chart(chart).encode("utf-8"))])


def _answered(chart: Chart, answers: Sequence[str], pictures: Sequence[Path]) -> Chart:
    """The chart after answers like ``2=1``, all numbers being those of the list as it was."""
    from chartscan.errors import ChartError
    from chartscan.tasks.corrections import correct_chart

    lines = []
    for text in answers:
        question, equals, answer = text.partition("=")
        if not equals or not question.strip().isdecimal() or not answer.strip().isdecimal():
            raise click.UsageError(f"--answer {text!r} isn't like 2=1: question 2, its answer 1")
        number, place = int(question), int(answer)
        if not 1 <= number <= len(chart.questions):
            raise ChartError(f"there is no question {number}; {len(chart.questions)} are open")
        ways = chart.questions[number - 1].answers
        if not 1 <= place <= len(ways):
            raise ChartError(f"question {number} has no answer {place}; it has {len(ways)}")
        lines.append(ways[place - 1].tell)
    return correct_chart(chart, lines, pictures)


# -------------------------------------------------------------------- at the terminal


def _print_all(chart: Chart) -> None:
    from chartscan.report.asked import print_question
    from chartscan.report.terminal import console

    target = console()
    for number, question in enumerate(chart.questions, 1):
        print_question(target, chart, question, number, otherwise=_otherwise(question))
    if not chart.questions:
        target.print("No open questions.")
        return
    click.echo("Answer with --answer 1=2: question 1, its second answer.", err=True)


def _ask_all(chart: Chart, path: Path, pictures: Sequence[Path]) -> Chart:
    """Ask one question after the other; every answer is saved at once."""
    from chartscan.report.terminal import console

    target = console()
    left: list[Question] = []
    while True:
        waiting = [question for question in chart.questions if question not in left]
        if not waiting:
            break
        told = _ask(target, chart, waiting[0], pictures)
        if told == STOP:
            return chart
        if told == LEAVE:
            left.append(waiting[0])
            continue
        chart = _followed(chart, chart.questions.index(waiting[0]), int(told), pictures, left)
        _save(chart, path)
    target.print("No more questions." if not left else f"{len(left)} left open.")
    return chart


def _followed(
    chart: Chart, question: int, answer: int, pictures: Sequence[Path], left: list[Question]
) -> Chart:
    """The chart after an answer; one that can't be followed is told, and its question left."""
    from chartscan.cli.remedies import worded
    from chartscan.errors import ChartscanError
    from chartscan.tasks.corrections import answer_question

    try:
        return answer_question(chart, question, answer - 1, pictures)
    except ChartscanError as error:
        click.echo(f"That can't be followed: {worded(error)}", err=True)
        left.append(chart.questions[question])
        return chart


def _ask(target: Console, chart: Chart, question: Question, pictures: Sequence[Path]) -> str:
    """The number of the answer chosen, or LEAVE, or STOP."""
    from chartscan.report.asked import print_question

    number = chart.questions.index(question) + 1
    shown = _class_pictures(chart, question, pictures)
    print_question(target, chart, question, number, shown, _otherwise(question))
    allowed = [str(i) for i in range(1, len(question.answers) + 1)]
    while True:
        told = click.prompt(
            f"1 to {len(allowed)}, Enter leaves it open, q stops" if allowed else "Enter, or q",
            default=LEAVE,
            show_default=False,
        )
        told = str(told).strip().lower()
        if told in (*allowed, LEAVE, STOP):
            return told


def _otherwise(question: Question) -> str:
    """What to do where none of a question's answers is right."""
    return OTHER_SIZE if question.kind == "size" else ""


def _class_pictures(
    chart: Chart, question: Question, pictures: Sequence[Path]
) -> dict[int, NDArray[np.uint8]]:
    """What the classes asked about look like on the page; nothing where it can't be had."""
    from chartscan.errors import ChartscanError
    from chartscan.tasks.corrections import class_pictures

    if not pictures:
        return {}
    try:
        return class_pictures(chart, question.classes, pictures)
    except ChartscanError:
        return {}  # all else goes without
