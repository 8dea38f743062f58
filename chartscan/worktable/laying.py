"""Laying a file on the table and having it read: what follows upon what.

::

    lay ──► first picture ──► one page: read at once
                          └─► more: their pictures, then wait until pages are picked ──► read
                                                        refused, killed, short of memory ◄─┘
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.worktable.faults import Missing
from chartscan.worktable.jobs import CHART, READ
from chartscan.worktable.kept import Kept
from chartscan.worktable.reader import Outcome

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.worktable.table import Table

MOST_TITLE = 80  # signs of a title; longer ones are cut
ENDING = re.compile(r"\.[a-z0-9]{1,5}")

OF_READING = ("size", "corners", "turn", "colours")  # told of one page

# Refusals of the table's own; the page has the words for them.
KILLED, SHORT, FAULT, CANCELLED = "@killed", "@short", "@fault", "@cancelled"


def lay(table: Table, name: str, data: bytes) -> Kept:
    """Lay a file on the shelf: a new chart, of which :func:`begin` begins the reading.

    A chart file is taken as it is, and needs no reading.

    Raises:
        ChartError: a chart file is broken.
    """
    if data[:64].lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"{"):
        return _lay_chart_file(table, name, data)
    return add_page(table, table.shelf.add(title_of(name)).id, name, data)


def add_page(table: Table, chart_id: str, name: str, data: bytes) -> Kept:
    """Put another picture to a chart that isn't read yet, as its next page."""
    return table.shelf.add_file(chart_id, _ending(name), plain(name), data)


def begin(table: Table, kept: Kept) -> None:
    """Look at a new chart's first page, and read it where there is nothing to pick."""
    table.reader.want(
        kept.id,
        lambda outcome: _was_looked_at(table, kept, outcome),
        do="first",
        folder=str(table.shelf.folder(kept.id)),
        file=kept.files[0].stored,
        max_pixels=table.settings.most_pixels,
    )


def plain(name: str) -> str:
    """A file's name without folders and signs that can't be shown."""
    last = re.split(r"[/\\]", name)[-1]
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in last)


def title_of(name: str) -> str:
    """What a chart is called at first: its file's name, less the ending."""
    return plain_title(Path(plain(name)).stem.replace("_", " "))


def plain_title(text: str) -> str:
    """A title that can be shown in a line."""
    return " ".join(plain(text).split())[:MOST_TITLE] or "–"


def read_again(table: Table, chart_id: str, version: int | None, told: Mapping[str, Any]) -> Kept:
    """Have a chart read with what is ``told`` now; what was read before stays until then.

    Raises:
        Stale: the chart has another version by now.
    """

    def reading(kept: Kept) -> Kept:
        most = table.settings.most_pixels
        _want(table, kept, do="read", told=dict(told), max_pixels=most)
        return replace(kept, state="reading", told=told, refusal="", remedies=())

    return table.shelf.change(chart_id, version, reading)


def with_told(kept: Kept, chart: Chart) -> Mapping[str, Any]:
    """What is told of a chart's reading, after answers and undoing too.

    Of several pages each is told of by itself, in ``each``.
    """
    from chartscan.tasks.corrections import told_of

    if kept.told.get("each"):
        return kept.told
    rest = {name: value for name, value in kept.told.items() if name not in OF_READING}
    return {**rest, **told_of(chart)}


def follow(table: Table, chart_id: str, version: int | None, lines: Sequence[str]) -> Kept:
    """Have a chart corrected by lines that need its page, and read again where they ask for it.

    Raises:
        Stale: the chart has another version by now.
    """

    def reading(kept: Kept) -> Kept:
        _want(table, kept, do="follow", lines=list(lines))
        return replace(kept, state="reading", refusal="", remedies=())

    return table.shelf.change(chart_id, version, reading)


def _want(table: Table, kept: Kept, **told: object) -> None:
    """Give the reader a chart's files; within an act, as who sees that it is read can stop it."""
    table.reader.want(
        kept.id,
        lambda outcome: _was_read(table, kept.id, outcome),
        folder=str(table.shelf.folder(kept.id)),
        files=[file.stored for file in kept.files],
        **told,
    )


def give_up(table: Table, chart_id: str) -> None:
    """Stop reading a chart."""
    table.reader.cancel(chart_id)


# ------------------------------------------------------------------------- what follows


def _lay_chart_file(table: Table, name: str, data: bytes) -> Kept:
    from chartscan.chart import parse_chart
    from chartscan.errors import ChartError

    try:
        chart = parse_chart(json.loads(data))
    except (ValueError, RecursionError) as error:
        raise ChartError(f"{plain(name)}: isn't a chart file") from error
    except ChartError as error:
        raise error.of(plain(name)) from error
    kept = table.shelf.add(title_of(name))
    return table.shelf.change(kept.id, None, lambda k: replace(k, state="read"), chart)


def _was_looked_at(table: Table, kept: Kept, outcome: Outcome) -> None:
    if outcome.how != "done":
        _refuse(table, kept.id, outcome)
        return
    pages = int(outcome.result["pages"])
    if pages == 1 or len(kept.files) > 1:
        read_again(table, kept.id, None, {})
        return
    table.shelf.change(kept.id, None, lambda k: replace(k, told={"of": pages}))
    table.reader.want(
        kept.id,
        lambda outcome: None,  # pages without a picture can be picked by number
        do="leaves",
        folder=str(table.shelf.folder(kept.id)),
        file=kept.files[0].stored,
        pages=pages,
        max_pixels=table.settings.most_pixels,
    )


def _was_read(table: Table, chart_id: str, outcome: Outcome) -> None:
    if outcome.how != "done":
        _refuse(table, chart_id, outcome)
        return
    try:
        kept = table.shelf.get(chart_id)
        chart = _named(table, kept)
        told = outcome.result.get("warnings")
        warnings = kept.warnings if told is None else tuple(_by_name(kept, text) for text in told)
        table.shelf.change(
            chart_id,
            None,
            lambda k: replace(
                k,
                state="read",
                told=with_told(k, chart),
                refusal="",
                remedies=(),
                warnings=warnings,
            ),
            chart,
        )
    except Missing:
        return  # it was taken off the shelf meanwhile


def _named(table: Table, kept: Kept) -> Chart:
    """What the reader left, under the name of the file that was dropped."""
    from chartscan.chart import load_chart

    path = table.shelf.folder(kept.id) / READ
    chart = load_chart(path)
    path.unlink()
    name = kept.files[0].name
    before = chart.as_read and replace(chart.as_read, source={**chart.as_read.source, "file": name})
    return replace(chart, source={**chart.source, "file": name}, as_read=before)


def _refuse(table: Table, chart_id: str, outcome: Outcome) -> None:
    words = {"killed": KILLED, "short": SHORT, "fault": FAULT, "cancelled": CANCELLED}

    def refused(kept: Kept) -> Kept:
        if outcome.how == "cancelled" and (table.shelf.folder(kept.id) / CHART).is_file():
            # What was read before stands.
            return replace(kept, state="read", refusal="", remedies=())
        said = words.get(outcome.how) or _by_name(kept, outcome.sentence)
        return replace(kept, state="refused", refusal=said, remedies=outcome.remedies)

    try:
        table.shelf.change(chart_id, None, refused)
    except Missing:
        return


def _by_name(kept: Kept, sentence: str) -> str:
    """A sentence of the reader's that calls files as the person does."""
    for file in kept.files:
        place = re.compile(rf"\S*{re.escape(file.stored)}")
        sentence = place.sub(lambda _: file.name, sentence)  # noqa: B023 - used at once
    return sentence


def _ending(name: str) -> str:
    ending = Path(plain(name)).suffix.lower()
    return ending if ENDING.fullmatch(ending) else ""
