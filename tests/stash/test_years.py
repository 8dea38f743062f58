"""Ten years of anything: whatever comes between, the stash is clean after every act."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from chartscan.errors import ChartscanError
from chartscan.stash.backup import back_up, restore
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.finishing import finish, give_up
from chartscan.stash.joining import join
from chartscan.stash.kitting import kit, release, start, undo_last
from chartscan.stash.ledger import Ledger, open_ledger
from chartscan.stash.lookback import history
from chartscan.stash.mistyped import (
    forget_thread,
    merge_notions,
    merge_threads,
    put_in_place,
    rename_thread,
)
from chartscan.stash.moving import WHOLE, export_all, import_all
from chartscan.stash.needs import (
    ThreadNeed,
    add_notion_need,
    add_thread_need,
    called_thread,
    choose_thread,
    drop_hand_needs,
)
from chartscan.stash.notions import NotionInfo, add_notion
from chartscan.stash.projects import Project, change_project, new_project
from chartscan.stash.reversing import reverse
from chartscan.stash.rules import change_rules
from chartscan.stash.threads import ThreadInfo, add_thread, know_thread
from chartscan.stash.wishes import add_wish, drop_wish

CODES = st.sampled_from(["T1", "t1", "T2", "T3"])
NAMES = st.sampled_from(["Robin", "robin", "Wren", "Finch"])


class _Years(RuleBasedStateMachine):
    """A stitcher who does anything at any time, and mends it as often."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.number = 0
        self.parted = 0
        self.elsewhere: list[Path] = []
        self.ledger = self._open()
        for code in ("T1", "T2", "T3"):
            with acting(self.ledger, "bought") as act:
                add_thread(act, ThreadInfo(code, putup_mm=8000, strands=6), skeins=3)
        for name, code in (("Robin", "T1"), ("Wren", "T2")):
            new_project(self.ledger, Project(name))
            self.need(self.ledger, name, code, 2)

    def _open(self) -> Ledger:
        self.number += 1
        ledger = open_ledger(Path(self.folder.name) / f"stash-{self.number}.db", create=True)
        ledger.execute("PRAGMA synchronous = OFF")  # the disk isn't under test here
        return ledger

    def teardown(self) -> None:
        self.ledger.close()
        self.folder.cleanup()

    def need(self, ledger: Ledger, name: str, code: str, skeins: int) -> None:
        need = ThreadNeed(ThreadInfo(code), skeins, 6 * 7000 * skeins, 6 * 5000 * skeins)
        add_thread_need(ledger, name, need)

    def attempt(self, move: Any, *arguments: Any, **options: Any) -> None:  # noqa: ANN401 - any move
        """Make a move; one that is refused leaves no act and no change."""
        sql = "SELECT (SELECT count(*) FROM acts), (SELECT count(*) FROM changes)"
        before = tuple(self.ledger.rows(sql)[0])
        try:
            move(self.ledger, *arguments, **options)
        except ChartscanError:
            assert tuple(self.ledger.rows(sql)[0]) == before

    @rule(code=CODES, skeins=st.integers(0, 3), part=st.integers(0, 8000))
    def buy(self, code: str, skeins: int, part: int) -> None:
        with acting(self.ledger, "bought") as act:
            add_thread(act, ThreadInfo(code), skeins=skeins, parts_mm=(part,) if part else ())
            add_notion(act, NotionInfo("Beads" if skeins else "beads ", "g"), 2)

    @rule(code=CODES, metres=st.integers(2, 12), line=st.sampled_from(["", "Meadowline"]))
    def tell_how_long_a_skein_is(self, code: str, metres: int, line: str) -> None:
        def move(ledger: Ledger) -> None:
            with acting(ledger, "learnt"):
                know_thread(ledger, ThreadInfo(code, line, putup_mm=metres * 1000))

        self.attempt(move)

    @rule(name=NAMES, code=CODES, skeins=st.integers(1, 3))
    def need_more(self, name: str, code: str, skeins: int) -> None:
        self.attempt(self.need, name, code, skeins)

    @rule(name=NAMES, beads=st.sampled_from(["beads", "BEADS", "bead"]))
    def need_beads(self, name: str, beads: str) -> None:
        self.attempt(add_notion_need, name, NotionInfo(beads, "g"), 1)

    @rule(name=NAMES)
    def need_less(self, name: str) -> None:
        self.attempt(drop_hand_needs, name)

    @rule(name=NAMES, called=CODES, used=CODES)
    def choose(self, name: str, called: str, used: str) -> None:
        def move(ledger: Ledger) -> None:
            thread = called_thread(ledger, name, called, None)
            choose_thread(ledger, name, thread, ThreadInfo(used))

        self.attempt(move)

    @rule(name=NAMES, partly=st.booleans(), divide=st.sampled_from([None, True, False]))
    def kit(self, name: str, partly: bool, divide: bool | None) -> None:
        self.attempt(kit, name, partly=partly, divide=divide)

    @rule(name=NAMES, short=st.booleans())
    def start(self, name: str, short: bool) -> None:
        self.attempt(start, name, short=short)

    @rule(name=NAMES, move=st.sampled_from([release, give_up, undo_last, undo_last, undo_last]))
    def move(self, name: str, move: Any) -> None:  # noqa: ANN401 - one of three functions
        self.attempt(move, name)

    @rule(name=NAMES, metres=st.integers(2, 7))
    def kit_and_find_a_shorter_skein(self, name: str, metres: int) -> None:
        self.attempt(kit, name)
        for code in ("T1", "T2", "T3"):
            with acting(self.ledger, "learnt"):
                know_thread(self.ledger, ThreadInfo(code, putup_mm=metres * 1000))

    @rule(name=NAMES, code=CODES, begin=st.booleans())
    def kit_need_more_and_take_back(self, name: str, code: str, begin: bool) -> None:
        self.attempt(kit, name)
        self.attempt(start if begin else release, name)
        self.attempt(self.need, name, code, 2)
        for _ in range(3):
            self.attempt(undo_last, name)
            assert audit(self.ledger) == []

    @rule(name=NAMES)
    def finish(self, name: str) -> None:
        self.attempt(finish, name, {})

    @rule(name=NAMES)
    def begin(self, name: str) -> None:
        self.attempt(lambda ledger: new_project(ledger, Project(name)))

    @rule(name=NAMES, new=NAMES)
    def rename_a_project(self, name: str, new: str) -> None:
        self.attempt(change_project, name, {"name": new, "place": "tin"})

    @rule(code=CODES, new=CODES)
    def rename_a_thread(self, code: str, new: str) -> None:
        self.attempt(rename_thread, code, None, new_code=new)

    @rule(wrong=CODES, right=CODES)
    def merge(self, wrong: str, right: str) -> None:
        self.attempt(merge_threads, wrong, right)
        self.attempt(merge_notions, "bead", "beads")

    @rule(code=CODES)
    def forget(self, code: str) -> None:
        self.attempt(forget_thread, code, None)

    @rule(code=CODES)
    def put_away(self, code: str) -> None:
        self.attempt(put_in_place, "thread", code, "box 2")

    @rule(code=CODES, dropped=st.integers(1, 3))
    def wish(self, code: str, dropped: int) -> None:
        self.attempt(add_wish, code, 2)
        self.attempt(drop_wish, dropped)

    @rule(keep=st.integers(0, 1), share=st.booleans())
    def set_rules(self, keep: int, share: bool) -> None:
        change_rules(self.ledger, keep_back=keep, share_skeins=share)

    @rule(back=st.integers(0, 8))
    def take_back(self, back: int) -> None:
        self.attempt(
            lambda ledger: reverse(ledger, ledger.value("SELECT max(id) FROM acts") - back)
        )

    @rule(with_history=st.booleans())
    def go_on_from_an_export(self, with_history: bool) -> None:
        folder = Path(self.folder.name) / f"export-{self.number}"
        export_all(self.ledger, folder)
        if not with_history:
            (folder / WHOLE).unlink()
        again = self._open()
        assert import_all(again, folder).with_history == with_history
        if with_history:
            assert history(again, last=-1) == history(self.ledger, last=-1)
        self.ledger.close()
        self.ledger = again

    @rule()
    def part(self) -> None:
        """Another machine goes on from here."""
        path = Path(self.folder.name) / f"parted-{self.number}-{self.parted}.db"
        self.parted += 1
        back_up(self.ledger, Path(self.folder.name) / "parted.backup")
        restore(Path(self.folder.name) / "parted.backup", path)
        self.elsewhere.append(path)

    @rule()
    def go_to_the_other_machine(self) -> None:
        """What was done here is left lying, and she goes on there."""
        if self.elsewhere:
            here = self.ledger.path
            self.ledger.close()
            self.ledger = open_ledger(self.elsewhere.pop(0))
            self.ledger.execute("PRAGMA synchronous = OFF")
            self.elsewhere.append(here)

    @rule(leave=st.booleans())
    def bring_together(self, leave: bool) -> None:
        """Joined whatever was done in both; a clash that isn't left out changes nothing."""
        if not self.elsewhere:
            return
        sql = "SELECT (SELECT count(*) FROM acts), (SELECT count(*) FROM changes)"
        before = tuple(self.ledger.rows(sql)[0])
        done = join(self.ledger, self.elsewhere[-1], leave_all=leave)
        if done.clashes and not leave:
            assert tuple(self.ledger.rows(sql)[0]) == before
        else:
            again = join(self.ledger, self.elsewhere[-1], leave_all=True)
            assert again.acts == 0

    @invariant()
    def the_stash_is_clean_and_can_be_backed_up(self) -> None:
        assert audit(self.ledger) == []

    @rule()
    def back_up(self) -> None:
        back_up(self.ledger, Path(self.folder.name) / "copy.backup")


TestYears = _Years.TestCase
TestYears.settings = settings(
    max_examples=25,
    stateful_step_count=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
