"""Any sequence of moves keeps the invariants, and what is taken back is as it was."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from chartscan.errors import StashError
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.fabrics import Piece, add_piece, cut_piece
from chartscan.stash.finishing import Left, finish, give_up
from chartscan.stash.kitting import kit, release, start, undo_last
from chartscan.stash.ledger import Ledger, open_ledger
from chartscan.stash.needs import (
    FabricNeed,
    ThreadNeed,
    add_fabric_need,
    add_notion_need,
    add_thread_need,
)
from chartscan.stash.notions import NotionInfo, add_notion
from chartscan.stash.projects import Project, find_project, new_project
from chartscan.stash.reversing import reverse
from chartscan.stash.rules import change_rules
from chartscan.stash.threads import ThreadInfo, add_thread, count_thread, find_thread, take_thread

CODES = st.sampled_from(["T1", "T2", "T3"])
NAMES = st.sampled_from(["Robin", "Wren", "Finch"])


def state_of(ledger: Ledger) -> tuple[Any, ...]:
    """All that an act can change: sums, what each project holds, and its state."""
    return tuple(
        tuple(tuple(row) for row in ledger.rows(sql))
        for sql in (
            "SELECT stock, owned, promised FROM balances WHERE owned OR promised ORDER BY stock",
            "SELECT project, stock, amount FROM holdings ORDER BY project, stock",
            "SELECT name, state FROM projects ORDER BY name",
        )
    )


class _Moves(RuleBasedStateMachine):
    """A stitcher who does anything at any time."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.ledger = open_ledger(Path(self.folder.name) / "stash.db", create=True)
        self.ledger.execute("PRAGMA synchronous = OFF")  # the disk isn't under test here
        for code in ("T1", "T2", "T3"):
            with acting(self.ledger, "bought") as act:
                add_thread(act, ThreadInfo(code, putup_mm=8000, strands=6), skeins=1)
        for name, code in (("Robin", "T1"), ("Wren", "T2"), ("Finch", "T1")):
            new_project(self.ledger, Project(name))
            self.need(name, code, 5000)

    def teardown(self) -> None:
        self.ledger.close()
        self.folder.cleanup()

    def need(self, name: str, code: str, length: int) -> None:
        info = ThreadInfo(code)
        skeins = -(-length // 8000)
        need = ThreadNeed(info, skeins, 6 * length, 5 * length, 4 * length)
        add_thread_need(self.ledger, name, need)

    def attempt(self, move: Any, *arguments: Any, **options: Any) -> None:  # noqa: ANN401 - any move
        """Make a move; one that is refused must change nothing."""
        before = state_of(self.ledger)
        try:
            move(self.ledger, *arguments, **options)
        except StashError:
            assert state_of(self.ledger) == before

    @rule(
        code=CODES, skeins=st.integers(0, 3), part=st.integers(0, 8000), lot=st.sampled_from("AB")
    )
    def buy(self, code: str, skeins: int, part: int, lot: str) -> None:
        with acting(self.ledger, "bought") as act:
            parts = (part,) if part else ()
            add_thread(act, ThreadInfo(code), skeins=skeins, parts_mm=parts, dye_lot=lot)

    @rule(code=CODES, skeins=st.integers(0, 2), length=st.integers(0, 9000))
    def use(self, code: str, skeins: int, length: int) -> None:
        def move(ledger: Ledger) -> None:
            with acting(ledger, "used") as act:
                thread = find_thread(ledger, code)["id"]
                take_thread(act, thread, "used", skeins=skeins, length_mm=length)

        self.attempt(move)

    @rule(code=CODES, skeins=st.integers(0, 4), parts=st.lists(st.integers(1, 8000), max_size=2))
    def count(self, code: str, skeins: int, parts: list[int]) -> None:
        with acting(self.ledger, "counted") as act:
            thread = find_thread(self.ledger, code)["id"]
            count_thread(act, thread, skeins=skeins, parts_mm=parts)

    @rule(width=st.integers(100, 500), notion=st.integers(1, 5))
    def buy_more(self, width: int, notion: int) -> None:
        with acting(self.ledger, "bought") as act:
            add_piece(act, Piece(28, width, 300))
            add_notion(act, NotionInfo("beads", "g"), notion)

    @rule(name=NAMES, code=CODES, length=st.integers(1, 20000))
    def need_thread(self, name: str, code: str, length: int) -> None:
        self.attempt(lambda _: self.need(name, code, length))

    @rule(name=NAMES, width=st.integers(100, 400), pieces=st.integers(1, 3))
    def need_more(self, name: str, width: int, pieces: int) -> None:
        self.attempt(add_fabric_need, name, FabricNeed(28, width, 200, pieces))
        self.attempt(add_notion_need, name, NotionInfo("beads", "g"), 2.5)

    @rule(name=NAMES, partly=st.booleans())
    def kit(self, name: str, partly: bool) -> None:
        self.attempt(kit, name, partly=partly)

    @rule(name=NAMES, move=st.sampled_from([release, start, give_up]))
    def move(self, name: str, move: Any) -> None:  # noqa: ANN401 - one of three functions
        self.attempt(move, name)

    @rule(name=NAMES, code=CODES, left=st.integers(0, 9000))
    def finish(self, name: str, code: str, left: int) -> None:
        rest = {find_thread(self.ledger, code)["id"]: Left(0, (left,) if left else ())}
        self.attempt(finish, name, rest)

    @rule(name=NAMES)
    def undo(self, name: str) -> None:
        self.attempt(undo_last, name)

    @rule(keep=st.integers(0, 1), fresh=st.integers(0, 1), lot=st.booleans())
    def set_rules(self, keep: int, fresh: int, lot: bool) -> None:
        change_rules(self.ledger, keep_back=keep, fresh_unless_more_than=fresh, same_dye_lot=lot)

    @rule(place=st.integers(0, 5))
    def cut(self, place: int) -> None:
        labels = [
            r["label"]
            for r in self.ledger.rows(
                "SELECT label FROM pieces p JOIN balances b ON b.stock = p.stock WHERE b.owned > 0"
                " AND b.promised = 0"
            )
        ]

        def move(ledger: Ledger) -> None:
            with acting(ledger, "cut") as act:
                cut_piece(act, labels[place % len(labels)], [(50, 300), (50, 300)])

        if labels:
            self.attempt(move)

    @rule()
    def take_back_the_last_act(self) -> None:
        self.attempt(lambda ledger: reverse(ledger, ledger.value("SELECT max(id) FROM acts")))

    @rule(code=CODES, skeins=st.integers(1, 3), name=NAMES)
    def what_is_taken_back_is_as_it_was(self, code: str, skeins: int, name: str) -> None:
        before = state_of(self.ledger)
        with acting(self.ledger, "bought") as act:
            add_thread(act, ThreadInfo(code), skeins=skeins)
        reverse(self.ledger, act.number)
        assert state_of(self.ledger) == before
        try:
            kit(self.ledger, name)
        except StashError:
            return
        undo_last(self.ledger, name)
        assert state_of(self.ledger) == before

    @invariant()
    def the_audit_is_clean(self) -> None:
        assert audit(self.ledger) == []

    @invariant()
    def a_kitted_project_holds_what_it_needs(self) -> None:
        for name in ("Robin", "Wren", "Finch"):
            project = find_project(self.ledger, name)
            if project.state in ("finished", "given up"):
                held = self.ledger.rows("SELECT 1 FROM holdings WHERE project = ?", (project.id,))
                assert held == []


TestMoves = _Moves.TestCase
TestMoves.settings = settings(
    max_examples=20,
    stateful_step_count=30,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
