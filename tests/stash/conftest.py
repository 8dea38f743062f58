"""A fresh ledger with a clock of its own, things to put into it, and the command line."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from os import PathLike
from pathlib import Path

import pytest

from chartscan.cli.main import run
from chartscan.stash.charts import ChartSource, add_chart
from chartscan.stash.entries import acting
from chartscan.stash.fabrics import Piece, add_piece
from chartscan.stash.kitting import kit, start
from chartscan.stash.ledger import Ledger, LedgerSettings, open_ledger
from chartscan.stash.needs import (
    FabricNeed,
    ThreadNeed,
    add_fabric_need,
    add_notion_need,
    add_thread_need,
    called_thread,
    choose_thread,
)
from chartscan.stash.notions import NotionInfo, add_notion
from chartscan.stash.projects import Project, find_project, new_project, set_charts
from chartscan.stash.rules import change_rules
from chartscan.stash.shopping import book_bought, make_list
from chartscan.stash.tables import TABLES, export_table
from chartscan.stash.threads import ThreadInfo, add_thread, find_thread
from chartscan.stash.wishes import add_wish

START = datetime(2026, 3, 1, 12, tzinfo=UTC)


@dataclass
class TickingClock:
    """Every look at it is a second later than the last."""

    now: datetime = START

    def __call__(self) -> datetime:
        """A second after the last time."""
        self.now += timedelta(seconds=1)
        return self.now


@dataclass(frozen=True)
class Shelf:
    """A ledger with short ways to fill it; threads are of 8 m and six strands."""

    ledger: Ledger
    clock: TickingClock = field(default_factory=TickingClock)

    def thread(
        self,
        code: str,
        skeins: int = 0,
        parts_mm: tuple[int, ...] = (),
        lot: str = "",
        line: str = "",
    ) -> int:
        """Add skeins and part skeins; the thread's number."""
        info = ThreadInfo(code, line, putup_mm=8000, strands=6)
        with acting(self.ledger, "bought") as act:
            return add_thread(act, info, skeins=skeins, parts_mm=parts_mm, dye_lot=lot)

    def piece(self, width: int, height: int, count: float = 28, colour: str = "ivory") -> str:
        """Add a piece of fabric; its label."""
        with acting(self.ledger, "bought") as act:
            return add_piece(act, Piece(count, width, height, colour=colour))

    def project(self, name: str, deadline: str = "", **skeins: int) -> Project:
        """A project that needs so many skeins of the threads named."""
        new_project(self.ledger, Project(name, deadline=deadline))
        for code, number in skeins.items():
            add_thread_need(self.ledger, name, ThreadNeed(ThreadInfo(code), number))
        return find_project(self.ledger, name)

    def needs_length(self, name: str, code: str, putup_mm: int) -> None:
        """Make a project need a length of put-up of a thread of 8 m and six strands."""
        info = ThreadInfo(code, putup_mm=8000, strands=6)
        need = ThreadNeed(
            info, -(-putup_mm // 8000), putup_mm * 6, putup_mm * 5, putup_mm * 4, strands=(2,)
        )
        add_thread_need(self.ledger, name, need)

    def needs_fabric(self, name: str, width: int, height: int, pieces: int = 1) -> None:
        """Make a project need pieces of 28 count ivory."""
        add_fabric_need(self.ledger, name, FabricNeed(28, width, height, pieces, "ivory"))

    def free(self, code: str) -> tuple[int, int]:
        """Whole skeins, and mm of part skeins, that are promised to nobody."""
        number = find_thread(self.ledger, code)["id"]
        rows = self.ledger.rows(
            "SELECT kind, sum(owned - promised) AS free FROM balances WHERE thread = ?"
            " GROUP BY kind",
            (number,),
        )
        by_kind = {row["kind"]: row["free"] for row in rows}
        return by_kind.get("skein", 0), by_kind.get("part", 0)


def something_of_everything(shelf: Shelf) -> None:
    """Something of everything, some of it promised."""
    ledger = shelf.ledger
    shelf.thread("T1", 3, (2500, 1750), lot="7", line="Meadowline")
    shelf.thread("T1", 1, (2500,), line="Meadowline")
    with acting(ledger, "bought") as act:
        info = ThreadInfo(
            "T2", name='Rose; "dusky", old', hex="#aa3040", lab=(40.125, 50.5, 20.0), price=120,
            discontinued=True,
        )  # fmt: skip
        add_thread(act, info, skeins=2)
        add_piece(act, Piece(28, 405, 505, 27.5, "ivory", "#f4eedd", "linen", "roll, left"))
        add_piece(act, Piece(14, 300, 300))
        add_notion(act, NotionInfo("beads, frost", "g", 90, "blue tin"), 2.125)
        add_chart(act, ChartSource("Robin", "/charts/robin.json", "Birds", "3", "12", "box"), 1)
    shelf.project("Robin", T1=1, T4=2)
    shelf.project("Wren", deadline="2026-12-01")
    shelf.needs_length("Wren", "T3", 9000)
    shelf.needs_fabric("Wren", 200, 300, 2)
    add_notion_need(ledger, "Wren", NotionInfo("beads, frost", "g"), 1.5, "on the crest")
    set_charts(ledger, find_project(ledger, "Wren").id, ["Robin"])
    called = called_thread(ledger, "Wren", "T3", None)
    choose_thread(ledger, "Wren", called, ThreadInfo("T2"))
    with acting(ledger, "priced"):
        ledger.execute("INSERT INTO fabric_prices VALUES (28.0, 'ivory', 5850)")
    change_rules(ledger, keep_back=0, smallest_part_mm=750, share_skeins=False)
    add_wish(ledger, "T9", 2, "for the owl", line="")
    add_wish(ledger, "=a frame of 40 cm")
    kit(ledger, "Wren", partly=True)
    book_bought(ledger, make_list(ledger))
    kit(ledger, "Robin")
    start(ledger, "Robin")


def texts_of(ledger: Ledger) -> dict[str, str]:
    """Every table of a stash."""
    return {table: export_table(ledger, table) for table in TABLES}


@pytest.fixture
def stash_file(tmp_path: Path) -> Path:
    """Where the test's ledger lies."""
    return tmp_path / "stash.db"


@pytest.fixture
def shelf(stash_file: Path) -> Iterator[Shelf]:
    """A new ledger whose clock ticks by the second."""
    clock = TickingClock()
    settings = LedgerSettings(busy_s=0.5, clock=clock)
    with open_ledger(stash_file, create=True, settings=settings) as ledger:
        yield Shelf(ledger, clock)


@pytest.fixture
def ledger(shelf: Shelf) -> Ledger:
    """The same ledger, bare."""
    return shelf.ledger


@dataclass(frozen=True)
class Outcome:
    """What a call left behind: exit status, standard output, standard error."""

    status: int
    out: str
    err: str


Call = Callable[..., Outcome]


@pytest.fixture
def chartscan(
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    stash_file: Path,
) -> Call:
    """Run ``chartscan`` with these arguments on the test's own stash and usage records."""
    monkeypatch.setenv("CHARTSCAN_STASH", str(stash_file))
    monkeypatch.setenv("CHARTSCAN_USAGE", str(tmp_path / "usage.json"))

    def call(*arguments: str | PathLike[str]) -> Outcome:
        status = run([str(argument) for argument in arguments])
        said = capsys.readouterr()
        return Outcome(status, said.out, said.err)

    return call
