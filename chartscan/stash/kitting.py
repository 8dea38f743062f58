"""The first moves of a project's life: kit, release, start, and undo. Each one transaction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from chartscan.errors import StashError
from chartscan.remedies import Remedy
from chartscan.stash.entries import Act, acting
from chartscan.stash.ledger import Ledger
from chartscan.stash.plan import Plan, PlanThread, make_plan
from chartscan.stash.projects import (
    IN_WORK,
    KITTED,
    PLANNED,
    Project,
    find_project,
    wrong_state,
)
from chartscan.stash.reversing import TakenBack, undo
from chartscan.stash.rules import Rules, load_rules
from chartscan.stash.threads import new_part

MISSING_SHOWN = 8  # things named in one error line; the plan lists them all


def kit(
    ledger: Ledger,
    name: str,
    *,
    partly: bool = False,
    divide: bool | None = None,
    note: str = "",
) -> Plan:
    """Set everything apart for a project, never twice, and call it kitted.

    Args:
        ledger: an open ledger.
        name: the project; one in work may fetch what it needs more.
        partly: set apart what is there though something is missing; it stays planned then.
        divide: divide a skein where another planned project needs its rest; by the rules where
            None (:func:`divided` says which).
        note: free text.

    Returns:
        The plan after it.

    Raises:
        StashError: something is missing, there is nothing left to set apart, or the project is
            at another point of its life.
    """
    with ledger.atomic():
        plan = make_plan(ledger, name)
        project = plan.project
        if project.state not in (PLANNED, IN_WORK):
            raise wrong_state(project, "kitted")
        if plan.empty:
            raise StashError(
                f"{name}: nothing is known of what it needs",
                Remedy.TELL_PROJECT,
                Remedy.TYPE_EXTRAS,
                name=name,
            )
        missing = plan.missing
        if missing and not partly:
            raise StashError(
                f"{name} can't be kitted yet, it lacks: {_listed(missing)}",
                Remedy.SEE_SHOPPING,
                Remedy.KIT_PARTLY,
                name=name,
            )
        complete = not missing and project.state == PLANNED
        if not complete and not _anything_new(plan):
            raise StashError(f"{name}: there is nothing more to set apart")
        move = (PLANNED, KITTED) if complete else None
        with acting(
            ledger, "kitted" if complete else "set apart", project=project.id, note=note, move=move
        ) as act:
            rules = load_rules(ledger)
            if divide is not None:
                rules = replace(rules, share_skeins=divide)
            _set_apart(act, plan, rules)
        return make_plan(ledger, name)


def _listed(missing: Sequence[str]) -> str:
    more = len(missing) - MISSING_SHOWN
    return "; ".join(missing[:MISSING_SHOWN]) + (f"; and {more} more" if more > 0 else "")


def _anything_new(plan: Plan) -> bool:
    return bool(
        any(t.taken.skeins or t.taken.parts for t in plan.threads)
        or any(f.new for f in plan.fabrics)
        or any(min(n.free, n.amount - n.held) > 0 for n in plan.notions)
        or any(c.to_take for c in plan.charts)
    )


def _set_apart(act: Act, plan: Plan, rules: Rules) -> None:
    sharing = _wanted_by_others(act.ledger, plan) if rules.share_skeins else frozenset[int]()
    for thread in plan.threads:
        _set_thread_apart(act, thread, rules, share=thread.thread.id in sharing)
    for fit in plan.fabrics:
        for stock in fit.new:
            act.put(stock, "promised", promised=1)
    for notion in plan.notions:
        amount = min(notion.free, notion.amount - notion.held)
        if amount > 0:
            act.put(notion.stock, "promised", promised=amount)
    for chart in plan.charts:
        if chart.to_take:
            act.put(chart.stock, "promised", promised=1)


def _wanted_by_others(ledger: Ledger, plan: Plan) -> frozenset[int]:
    """Threads of the plan that another planned project needs too."""
    return frozenset(
        row["thread"]
        for row in ledger.rows(
            "SELECT DISTINCT n.thread FROM thread_needs m"
            " JOIN thread_needs n ON n.thread = m.thread AND n.project <> m.project"
            " JOIN projects p ON p.id = n.project AND p.state = ?"
            " WHERE m.project = ?",
            (PLANNED, plan.project.id),
        )
    )


def _set_thread_apart(act: Act, planned: PlanThread, rules: Rules, *, share: bool) -> None:
    """Promise skeins and parts; a rest that another project waits for is cut off and stays free."""
    taken = planned.taken
    spare = taken.spare_mm if share and rules.parts_count else 0
    if spare < rules.smallest_part_mm or taken.lack:
        spare = 0
    for stock, length in taken.parts:
        if spare and length > spare:
            _split(act, planned.thread.id, stock, length, spare, part=True)
            spare = 0
        else:
            act.put(stock, "promised", promised=length)
    for stock, number in taken.skeins:
        whole = number
        if spare:
            _split(act, planned.thread.id, stock, planned.thread.putup_mm, spare, part=False)
            whole, spare = number - 1, 0
        if whole:
            act.put(stock, "promised", promised=whole)


def _split(act: Act, thread: int, stock: int, length: int, spare: int, *, part: bool) -> None:
    """Divide a part skein, or open a skein: one piece is promised, ``spare`` stays free."""
    lot = act.ledger.value("SELECT dye_lot FROM stock WHERE id = ?", (stock,))
    act.put(stock, "opened", owned=-length if part else -1)
    for piece, promised in ((length - spare, length - spare), (spare, 0)):
        new = new_part(act.ledger, thread, lot)
        act.put(new, "opened", owned=piece)
        if promised:
            act.put(new, "promised", promised=promised)


@dataclass(frozen=True)
class Divided:
    """A skein that was divided: so much went into the bag, the rest stays in the drawer (mm)."""

    thread: str
    whole: bool
    bag_mm: int
    rest_mm: int


def divided(ledger: Ledger, project: Project) -> tuple[Divided, ...]:
    """The skeins that the last kitting of a project divided."""
    rows = ledger.rows(
        "WITH last AS (SELECT max(id) AS id FROM acts WHERE project = ?"
        " AND name IN ('kitted', 'set apart'))"
        " SELECT trim(t.line || ' ' || t.code) AS thread, t.id, s.kind, e.stock, e.owned,"
        "  EXISTS (SELECT 1 FROM entries p WHERE p.act = e.act AND p.stock = e.stock"
        "   AND p.kind = 'promised') AS bagged"
        " FROM entries e JOIN last ON e.act = last.id JOIN stock s ON s.id = e.stock"
        " JOIN threads t ON t.id = s.thread WHERE e.kind = 'opened' ORDER BY e.id",
        (project.id,),
    )
    found: list[Divided] = []
    for opened, bag, rest in zip(rows[::3], rows[1::3], rows[2::3], strict=True):
        found.append(Divided(bag["thread"], opened["kind"] == "skein", bag["owned"], rest["owned"]))
    return tuple(found)


# ---------------------------------------------------------------------------- release and start


def release(ledger: Ledger, name: str, note: str = "") -> Project:
    """Put everything that is set apart back into the drawer; a kitted project is planned again."""
    with ledger.atomic():
        project = find_project(ledger, name)
        if project.state not in (PLANNED, KITTED):
            raise wrong_state(project, "released")
        held = _holdings(ledger, project)
        if not held:
            raise StashError(f"{name}: nothing is set apart for it")
        move = (KITTED, PLANNED) if project.state == KITTED else None
        with acting(ledger, "released", project=project.id, note=note, move=move) as act:
            _release_all(act, held)
        return find_project(ledger, name)


def start(ledger: Ledger, name: str, note: str = "", *, short: bool = False) -> Project:
    """Take a kitted project into work; with ``short`` also one that still lacks something.

    What it lacks stays on the shopping list, and ``project today`` reminds of it.

    Raises:
        StashError: it lacks something and ``short`` isn't told, or it is at another point of its
            life.
    """
    with ledger.atomic():
        project = find_project(ledger, name)
        if project.state == PLANNED and not short:
            missing = make_plan(ledger, name).missing
            if missing and _holdings(ledger, project):
                raise StashError(
                    f"{name} still lacks {_listed(missing)}", Remedy.START_SHORT, name=name
                )
        if project.state == PLANNED and short and not _holdings(ledger, project):
            raise StashError(f"{name}: nothing is set apart for it", Remedy.KIT_PARTLY, name=name)
        before = (PLANNED, KITTED) if short else (KITTED,)
        return _move(ledger, name, "started", before, IN_WORK, note)


def undo_last(ledger: Ledger, name: str, note: str = "") -> TakenBack:
    """Take back what was done last for a project; what it was."""
    with ledger.atomic():
        return undo(ledger, find_project(ledger, name).id, note)


def _move(
    ledger: Ledger, name: str, act_name: str, before: tuple[str, ...], after: str, note: str
) -> Project:
    with ledger.atomic():
        project = find_project(ledger, name)
        if project.state not in before:
            raise wrong_state(project, act_name)
        move = (project.state, after)
        with acting(ledger, act_name, project=project.id, note=note, move=move):
            pass
        return find_project(ledger, name)


def _holdings(ledger: Ledger, project: Project) -> list[tuple[int, int]]:
    return [
        (row["stock"], row["amount"])
        for row in ledger.rows(
            "SELECT stock, amount FROM holdings WHERE project = ? ORDER BY stock", (project.id,)
        )
    ]


def _release_all(act: Act, held: Sequence[tuple[int, int]]) -> None:
    for stock, amount in held:
        act.put(stock, "released", promised=-amount)
