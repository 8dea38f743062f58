"""Ending a project, finished or given up: what was used is booked, the rest goes back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from chartscan.errors import StashError
from chartscan.plaintext import code_key
from chartscan.remedies import Remedy
from chartscan.stash.allotment import Supply
from chartscan.stash.amounts import ThreadAmount
from chartscan.stash.demand import Demands, ProjectThread, load_demands
from chartscan.stash.entries import Act, acting
from chartscan.stash.fabrics import add_cuttings, find_piece
from chartscan.stash.ledger import Ledger
from chartscan.stash.projects import (
    FINISHED,
    GIVEN_UP,
    IN_WORK,
    OPEN_STATES,
    Project,
    find_project,
    wrong_state,
)
from chartscan.stash.threads import new_part, putup_mm
from chartscan.yardage.calibration import Record


@dataclass(frozen=True)
class Left:
    """What was left of a thread: unopened skeins, and lengths of part skeins in mm of put-up."""

    skeins: int = 0
    parts_mm: tuple[int, ...] = ()

    def length_mm(self, putup_mm: int) -> int:
        """Length of everything left."""
        return self.skeins * putup_mm + sum(self.parts_mm)


@dataclass(frozen=True)
class UsedThread:
    """What a finished project took of a thread.

    Attributes:
        line: the maker's line, or "".
        code: the number it is asked for by.
        used_mm: length of put-up used.
        estimated_mm: likely single-strand length by the estimate, without any own factor.
        strands: strands that the put-up divides into.
        measured: the stitcher told what was left; otherwise the estimate was booked.
    """

    line: str
    code: str
    used_mm: int
    estimated_mm: float
    strands: int
    measured: bool


def finish(
    ledger: Ledger,
    name: str,
    left: Mapping[int, Left],
    *,
    fabric_left: Sequence[tuple[int, int]] = (),
    note: str = "",
) -> list[UsedThread]:
    """Finish a project in one transaction.

    Args:
        ledger: an open ledger.
        name: a project in work.
        left: thread number → what was left. For a thread not named here the likely length of the
            estimate is taken as used.
        fabric_left: width and height of fabric pieces left over, in mm, of the first piece.
        note: free text.

    Raises:
        StashError: it isn't in work, doesn't hold such a thread, or more would be left than was
            set apart.
    """
    with ledger.atomic():
        project = find_project(ledger, name)
        if project.state != IN_WORK:
            raise wrong_state(project, "finished")
        demands = load_demands(ledger, [project.id])
        held = {need: demands.held_by(project.id, need.thread) for need in demands.needs}
        if left.keys() - {need.thread for need, supply in held.items() if supply.lots}:
            raise StashError(f"{name} holds nothing of a thread that is said to be left over")
        with acting(
            ledger, "finished", project=project.id, note=note, move=(IN_WORK, FINISHED)
        ) as act:
            used = [
                _finish_thread(act, demands, need, supply, left.get(need.thread))
                for need, supply in held.items()
                if supply.lots
            ]
            _finish_rest(act, project, fabric_left)
        return used


def give_up(
    ledger: Ledger, name: str, left: Mapping[int, Left] | None = None, note: str = ""
) -> Project:
    """Give a project up; what is set apart goes back into the drawer, all of it or what is left.

    Args:
        ledger: an open ledger.
        name: a project that isn't over.
        left: thread number → what was left of a thread that some was used of.
        note: free text.

    Raises:
        StashError: it is over, or more would be left than was set apart.
    """
    with ledger.atomic():
        project = find_project(ledger, name)
        if project.state not in OPEN_STATES:
            raise wrong_state(project, "given up")
        demands = load_demands(ledger, [project.id])
        move = (project.state, GIVEN_UP)
        with acting(ledger, "given up", project=project.id, note=note, move=move) as act:
            for need in demands.needs:
                held = demands.held_by(project.id, need.thread)
                if held.lots and need.thread in (left or {}):
                    _finish_thread(act, demands, need, held, (left or {})[need.thread])
            for row in ledger.rows(
                "SELECT stock, amount FROM holdings WHERE project = ? ORDER BY stock", (project.id,)
            ):
                act.put(row["stock"], "released", promised=-row["amount"])
        return find_project(ledger, name)


def held_thread(ledger: Ledger, name: str, code: str) -> int:
    """The thread ("CODE" or "LINE CODE") that a project holds; StashError where it holds none."""
    rows = ledger.rows(
        "SELECT DISTINCT t.id, t.line FROM holdings h JOIN stock s ON s.id = h.stock"
        " JOIN threads t ON t.id = s.thread WHERE h.project = :project"
        " AND (t.code_key = :code OR code_key(t.line || t.code) = :code)",
        {"project": find_project(ledger, name).id, "code": code_key(code)},
    )
    if not rows:
        raise StashError(f"{name} holds no thread {code}", Remedy.SEE_PLAN, name=name)
    if len(rows) > 1:
        lines = ", ".join(f"{row['line']} {code}" for row in rows)
        raise StashError(f"{name} holds {code} of several lines; write one of {lines}")
    return int(rows[0]["id"])


def sum_left(
    ledger: Ledger, name: str, told: Sequence[tuple[str, ThreadAmount]]
) -> dict[int, Left]:
    """What is left of the threads that a project holds, by thread number.

    Args:
        ledger: the ledger.
        name: the project.
        told: code and amount, as often as it is told; amounts of one thread add up. Of each
            amount the whole skeins are unopened, the rest is a part skein.

    Raises:
        StashError: the project doesn't hold such a thread.
    """
    amounts: dict[int, ThreadAmount] = {}
    for code, amount in told:
        thread = held_thread(ledger, name, code)
        amounts[thread] = amounts.get(thread, ThreadAmount()) + amount
    return {
        thread: Left(*amount.in_stock(putup_mm(ledger, thread)))
        for thread, amount in amounts.items()
    }


def _finish_thread(
    act: Act, demands: Demands, need: ProjectThread, held: Supply, told: Left | None
) -> UsedThread:
    thread = demands.threads[need.thread]
    had = held.length_mm(thread.putup_mm)
    left = told or _by_estimate(held, had, need.likely_mm // thread.strands, thread.putup_mm)
    used = had - left.length_mm(thread.putup_mm)
    if used < 0 or left.skeins > held.skeins:
        raise StashError(
            f"{demands.names[need.project]}: more of thread {thread.label} is said to be left than"
            " was set apart"
        )
    _book_thread(act, thread.id, held, left)
    return UsedThread(
        thread.line, thread.code, used, need.plain_mm, thread.strands, told is not None
    )


def _by_estimate(held: Supply, had_mm: int, used_mm: int, putup_mm: int) -> Left:
    """What is left by the estimate: parts are worked first, then skeins are opened in turn."""
    rest = max(0, had_mm - used_mm)
    whole = min(held.skeins, rest // putup_mm)
    part = rest - whole * putup_mm
    return Left(whole, (part,) if part else ())


def _book_thread(act: Act, thread: int, held: Supply, left: Left) -> None:
    """Release the skeins that stayed whole, use up the rest, and book what was left of it."""
    whole = left.skeins
    for shelf in held.shelves:
        back = min(whole, shelf.skeins)
        whole -= back
        if back:
            act.put(shelf.stock, "released", promised=-back)
        if shelf.skeins > back:
            gone = shelf.skeins - back
            act.put(shelf.stock, "used", owned=-gone, promised=-gone)
    for part in held.parts:
        act.put(part.stock, "used", owned=-part.length_mm, promised=-part.length_mm)
    lot = next(iter(held.lots)) if len(held.lots) == 1 else ""
    for length in left.parts_mm:
        act.put(new_part(act.ledger, thread, lot), "left", owned=length)


def _finish_rest(act: Act, project: Project, fabric_left: Sequence[tuple[int, int]]) -> None:
    """Fabric and notions are used; charts, and threads no need speaks of, go back to the drawer."""
    pieces: list[str] = []
    for row in act.ledger.rows(
        "SELECT s.id, s.kind, h.amount, p.label FROM holdings h JOIN stock s ON s.id = h.stock"
        " LEFT JOIN pieces p ON p.stock = s.id WHERE h.project = ? ORDER BY s.id",
        (project.id,),
    ):
        if row["kind"] not in ("piece", "notion"):
            act.put(row["id"], "released", promised=-row["amount"])
            continue
        if row["kind"] == "piece":
            pieces.append(row["label"])
            if fabric_left and len(pieces) == 1:
                add_cuttings(act, find_piece(act.ledger, row["label"]), fabric_left)
        act.put(row["id"], "used", owned=-row["amount"], promised=-row["amount"])
    if fabric_left and not pieces:
        raise StashError(f"{project.name} holds no fabric that some could be left of")


def usage_record(name: str, used: Sequence[UsedThread], day: str) -> Record | None:
    """What a finished project teaches the estimate: of its measured threads, used and estimated.

    Args:
        name: the project.
        used: what :func:`finish` returned.
        day: ISO date.

    Returns:
        The record; None where nothing was measured that was estimated.
    """
    measured = [u for u in used if u.measured and u.estimated_mm]
    if not measured:
        return None
    return Record(
        name=name,
        estimated_mm=sum(u.estimated_mm for u in measured),
        used_mm=float(sum(u.used_mm * u.strands for u in measured)),
        date=day,
    )
