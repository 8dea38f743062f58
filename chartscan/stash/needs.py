"""What a project needs, as rows of the ledger: computed from its charts, or typed by hand.

Planning, kitting and shopping read these rows and never a chart; they are computed again when
chart, fabric, copies or thread choices change (:mod:`chartscan.stash.computing`).
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from chartscan.errors import StashError
from chartscan.plaintext import plain
from chartscan.remedies import Remedy
from chartscan.stash.allotment import needed_length, skeins_for
from chartscan.stash.entries import Act, joining
from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import NotionInfo, know_notion, scaled
from chartscan.stash.projects import IN_WORK, PLANNED, Project, find_project
from chartscan.stash.threads import (
    ThreadInfo,
    find_thread,
    know_thread,
)
from chartscan.stash.usual import DEFAULT_PUTUP_MM, DEFAULT_STRANDS, Rgb

Source = Literal["chart", "hand"]


@dataclass(frozen=True)
class ThreadNeed:
    """What one class of a chart, or a line typed by hand, takes of a thread.

    Attributes:
        called: the thread that the chart or the stitcher names.
        skeins: put-ups to have of it.
        high_mm: upper end of the single-strand length; ``likely_mm`` and ``low_mm`` below it.
        likely_mm: the likely single-strand length.
        low_mm: the lower end.
        strands: strands in the needle, each number once.
        stitches: how many stitches it works.
        factor: the stitcher's own factor that is in the lengths.
        class_index: the class in the chart, or None.
        note: free text.
        wanted: the colours of the chart that it is for, sRGB; none where that isn't one thread's
            matter (a blend) or no colour is known.
        delta_e: by how much the thread is off, ΔE00, at worst; None where not known.
    """

    called: ThreadInfo
    skeins: int
    high_mm: int = 0
    likely_mm: int = 0
    low_mm: int = 0
    strands: tuple[int, ...] = (1,)
    stitches: int = 0
    factor: float = 1.0
    class_index: int | None = None
    note: str = ""
    wanted: tuple[Rgb, ...] = ()
    delta_e: float | None = None


@dataclass(frozen=True)
class FabricNeed:
    """Pieces of one size (mm, with margins) to cut from a fabric; colour "" where any will do."""

    count: float
    width_mm: int
    height_mm: int
    pieces: int = 1
    colour: str = ""


def set_chart_needs(
    ledger: Ledger,
    project: Project,
    threads: Sequence[ThreadNeed],
    fabrics: Sequence[FabricNeed],
) -> None:
    """Replace what was computed from the charts; what was typed by hand stays."""
    with joining(ledger, "worked out", project.id) as act:
        for table in ("thread_needs", "fabric_needs"):
            ledger.execute(
                f"DELETE FROM {table} WHERE project = ? AND source = 'chart'", (project.id,)
            )
        for need in threads:
            _insert_thread_need(ledger, project.id, "chart", need)
        for fabric in fabrics:
            _insert_fabric_need(ledger, project.id, "chart", fabric)
        release_unneeded(act, project.id)


def add_thread_need(ledger: Ledger, name: str, need: ThreadNeed) -> None:
    """Add a thread by hand; a project in work may need more, a kitted one is released first."""
    with ledger.atomic():
        project = _changeable(ledger, name).id
        with joining(ledger, "needs more", project):
            _insert_thread_need(ledger, project, "hand", need)


def add_fabric_need(ledger: Ledger, name: str, need: FabricNeed) -> None:
    """Add a piece of fabric by hand."""
    with ledger.atomic():
        project = _changeable(ledger, name).id
        with joining(ledger, "needs more", project):
            _insert_fabric_need(ledger, project, "hand", need)


def add_notion_need(
    ledger: Ledger, name: str, notion: NotionInfo, amount: float, note: str = ""
) -> None:
    """Add an amount of a notion, in the notion's unit."""
    if not scaled(amount):
        raise StashError(f"{notion.name}: say how much of it")
    with ledger.atomic():
        project = _changeable(ledger, name).id
        with joining(ledger, "needs more", project):
            ledger.execute(
                "INSERT INTO notion_needs (project, notion, amount, note) VALUES (?, ?, ?, ?)",
                (project, know_notion(ledger, notion), scaled(amount), plain(note)),
            )


def drop_hand_needs(ledger: Ledger, name: str) -> None:
    """Forget everything that was typed by hand for a project."""
    with ledger.atomic():
        project = _changeable(ledger, name).id
        with joining(ledger, "needs less", project):
            ledger.execute("DELETE FROM notion_needs WHERE project = ?", (project,))
            for table in ("thread_needs", "fabric_needs"):
                ledger.execute(
                    f"DELETE FROM {table} WHERE project = ? AND source = 'hand'", (project,)
                )


def _changeable(ledger: Ledger, name: str) -> Project:
    project = find_project(ledger, name)
    if project.state not in (PLANNED, IN_WORK):
        raise StashError(
            f"{name} is {project.state}; its needs change only while it is planned or in work"
        )
    return project


# ---------------------------------------------------------------------------- choices


def choose_thread(
    ledger: Ledger, name: str, called: sqlite3.Row, used: ThreadInfo, reason: str = ""
) -> Project:
    """Work everything that calls for the thread ``called`` (a row) in ``used`` instead.

    What was promised of the one goes back into the drawer in the same act.

    Raises:
        StashError: the project isn't planned any more.
    """
    with ledger.atomic():
        project = find_project(ledger, name)
        if project.state != PLANNED:
            raise StashError(f"{name} is {project.state}; threads are chosen while it is planned")
        with joining(ledger, "chose", project.id) as act:
            _choose(act, project.id, int(called["id"]), know_thread(ledger, used), plain(reason))
            release_unneeded(act, project.id)
    return project


def _choose(act: Act, project: int, called: int, stand_in: int, reason: str) -> None:
    ledger = act.ledger
    ledger.execute(
        "INSERT INTO choices VALUES (?, ?, ?, ?)"
        " ON CONFLICT (project, called)"
        " DO UPDATE SET used = excluded.used, reason = excluded.reason",
        (project, called, stand_in, reason),
    )
    for row in ledger.rows(
        "SELECT * FROM thread_needs WHERE project = ? AND called = ?", (project, called)
    ):
        skeins, length = _in_putups(ledger, called, stand_in, row["skeins"], row["high_mm"])
        ledger.execute(
            "UPDATE thread_needs SET thread = ?, skeins = ?, putup_length_mm = ?, delta_e = ?"
            " WHERE id = ?",
            (stand_in, skeins, length, how_far_off(ledger, stand_in, row["wanted"]), row["id"]),
        )


def release_unneeded(act: Act, project: int) -> None:
    """Put threads back into the drawer that a project holds and doesn't need any more."""
    for row in act.ledger.rows(
        "SELECT h.stock, h.amount FROM holdings h JOIN balances b ON b.stock = h.stock"
        " WHERE h.project = ? AND b.thread IS NOT NULL AND NOT EXISTS ("
        "  SELECT 1 FROM demands d WHERE d.project = h.project AND d.thread = b.thread)",
        (project,),
    ):
        act.put(row["stock"], "released", promised=-row["amount"])


def _insert_thread_need(ledger: Ledger, project: int, source: Source, need: ThreadNeed) -> None:
    called = know_thread(ledger, need.called)
    chosen = ledger.value(
        "SELECT used FROM choices WHERE project = ? AND called = ?", (project, called)
    )
    thread = called if chosen is None else int(chosen)
    skeins, length = _in_putups(ledger, called, thread, need.skeins, need.high_mm)
    wanted = ",".join("#{:02x}{:02x}{:02x}".format(*rgb) for rgb in need.wanted)
    delta_e = need.delta_e if thread == called else how_far_off(ledger, thread, wanted)
    ledger.execute(
        "INSERT INTO thread_needs (project, source, thread, called, class_index, stitches,"
        " strands, factor, low_mm, likely_mm, high_mm, skeins, putup_length_mm, note, wanted,"
        " delta_e)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            project, source, thread, called, need.class_index, need.stitches,
            ",".join(map(str, need.strands)), need.factor, need.low_mm, need.likely_mm,
            need.high_mm, skeins, length, plain(need.note), wanted, delta_e,
        ),
    )  # fmt: skip


def how_far_off(ledger: Ledger, thread: int, wanted: str) -> float | None:
    """ΔE00 of a thread from the colours ``#rrggbb,…`` that it is to show, the worst of them."""
    row = ledger.row("SELECT hex, lab_l, lab_a, lab_b FROM threads WHERE id = ?", (thread,))
    if not wanted or row is None or row["hex"] is None:
        return None
    from chartscan.colour import ciede2000, parse_hex, srgb_to_lab

    measured = row["lab_l"], row["lab_a"], row["lab_b"]
    of_thread = srgb_to_lab(parse_hex(row["hex"])) if measured[0] is None else measured
    colours = srgb_to_lab([parse_hex(text) for text in wanted.split(",")])
    return float(ciede2000(colours, of_thread).max())


def _in_putups(
    ledger: Ledger, called: int, thread: int, skeins: int, high_mm: int
) -> tuple[int, int]:
    """Put-ups and length of put-up of ``thread`` for a need counted in put-ups of ``called``.

    A need without a length (so many skeins, by hand) is that many skeins of any thread.
    """
    putup, strands = _putup(ledger, thread)
    if not high_mm:
        return skeins, skeins * putup
    if _putup(ledger, called) != (putup, strands):
        skeins = skeins_for(-(-high_mm // strands), putup)
    return skeins, needed_length(high_mm, strands, skeins, putup)


def _putup(ledger: Ledger, thread: int) -> tuple[int, int]:
    row = ledger.row("SELECT putup_mm, strands FROM threads WHERE id = ?", (thread,))
    assert row is not None  # a foreign key holds it there
    return row["putup_mm"] or DEFAULT_PUTUP_MM, row["strands"] or DEFAULT_STRANDS


def _insert_fabric_need(ledger: Ledger, project: int, source: Source, need: FabricNeed) -> None:
    if min(need.width_mm, need.height_mm, need.pieces) <= 0 or need.count <= 0:
        raise StashError("fabric has a count, a size and a number of pieces over 0")
    ledger.execute(
        "INSERT INTO fabric_needs (project, source, count, colour, width_mm, height_mm, pieces)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            project, source, need.count, need.colour, need.width_mm, need.height_mm, need.pieces,
        ),
    )  # fmt: skip


def skeins_of(ledger: Ledger, info: ThreadInfo, length_mm: int) -> int:
    """Put-ups that hold ``length_mm`` of single strand."""
    row = ledger.row(
        "SELECT putup_mm, strands FROM threads WHERE line = ? AND code = ?", (info.line, info.code)
    )
    putup, strands = (row["putup_mm"], row["strands"]) if row else (info.putup_mm, info.strands)
    return skeins_for(-(-length_mm // (strands or DEFAULT_STRANDS)), putup or DEFAULT_PUTUP_MM)


def called_thread(ledger: Ledger, name: str, code: str, line: str | None) -> sqlite3.Row:
    """The thread that a project calls for by ``code``; StashError where it calls for none."""
    thread = find_thread(ledger, code, line)
    project = find_project(ledger, name)
    if not ledger.value(
        "SELECT 1 FROM thread_needs WHERE project = ? AND called = ?", (project.id, thread["id"])
    ):
        raise StashError(f"{name} doesn't call for thread {code}", Remedy.SEE_PLAN, name=name)
    return thread
