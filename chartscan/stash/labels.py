"""The values for paper, read from the ledger: bag label, fabric labels, stash list by colour."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from chartscan.stash.fabrics import fabric_label, owned_pieces
from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import SCALE, owned_notions
from chartscan.stash.paper import (
    BagLabel,
    BagNotion,
    BagThread,
    FabricLabel,
    StashList,
    StashNotion,
    StashThread,
)
from chartscan.stash.plan import Plan, PlanNotion, PlanThread, fabric_missing, make_plan
from chartscan.stash.projects import FINISHED, GIVEN_UP, fabric_words
from chartscan.stash.threads import rgb_of

GREY_BELOW = 12.0  # CIELAB chroma under which a thread is filed with the greys; no source


def bag_label(ledger: Ledger, name: str) -> BagLabel:
    """The label of a project's bag; StashError where there is no such project."""
    plan = make_plan(ledger, name)
    project = plan.project
    pieces = owned_pieces(ledger, "h.project = ?", (project.id,))
    over = project.state in (FINISHED, GIVEN_UP)
    return BagLabel(
        project=project.name,
        state=project.state,
        place=project.place,
        charts=tuple(chart.where for chart in plan.charts),
        fabric=fabric_words(project),
        cut_mm=tuple(
            (fit.need.width_mm, fit.need.height_mm, fit.need.pieces) for fit in plan.fabrics
        ),
        pieces=tuple(fabric_label(row) for row in pieces),
        threads=tuple(_bag_thread(thread) for thread in plan.threads),
        notions=tuple(
            BagNotion(n.name, n.unit, n.amount / SCALE, n.held / SCALE) for n in plan.notions
        ),
        set_apart=() if over else _set_apart(plan, [row["label"] for row in pieces]),
        in_stash=() if over else _in_stash(plan),
        to_buy=() if over else _to_buy(plan),
        copies=project.copies,
        wished_start=project.wished_start,
        deadline=project.deadline,
        note=project.note,
    )


def _bag_thread(planned: PlanThread) -> BagThread:
    thread = planned.thread
    parts = sorted((p.length_mm / 1000 for p in planned.held.parts), reverse=True)
    return BagThread(
        line=thread.line,
        code=thread.code,
        name=thread.name,
        rgb=thread.rgb,
        strands=planned.need.strands,
        skeins=planned.held.skeins,
        part_metres=tuple(parts),
        to_buy=planned.to_buy,
        called=", ".join(planned.need.called),
        dye_lots=tuple(sorted(planned.held.lots - {""})),
    )


# A thing that is held, free and to be bought in parts stands under each; "in part" says so.


def _set_apart(plan: Plan, pieces: Sequence[str]) -> tuple[str, ...]:
    """What the bag holds."""
    threads = [_part(t, t.held.length_mm(1) > 0) for t in plan.threads]
    return (
        *(f"chart {c.where}" for c in plan.charts if c.held),
        *(f"fabric {label}" for label in pieces),
        *_named("thread", [words for words in threads if words]),
        *(_notion(n, n.held) for n in plan.notions if n.held),
    )


def _in_stash(plan: Plan) -> tuple[str, ...]:
    """What is free in the stash and would come into the bag."""
    threads = [_part(t, bool(t.taken.skeins or t.taken.parts)) for t in plan.threads]
    new = {label for fit in plan.fabrics for label in fit.pieces[len(fit.pieces) - len(fit.new) :]}
    free = [(n, min(n.free, n.amount - n.held)) for n in plan.notions]
    return (
        *(f"chart {c.where}" for c in plan.charts if c.to_take),
        *(f"fabric {label}" for label in sorted(new)),
        *_named("thread", [words for words in threads if words]),
        *(_notion(n, amount) for n, amount in free if amount > 0),
    )


def _to_buy(plan: Plan) -> tuple[str, ...]:
    """What neither the bag nor the free stash holds."""
    return (
        *(f"{t.to_buy} × {t.thread.code}" for t in plan.threads if t.to_buy),
        *(f"chart {c.where}" for c in plan.charts if c.lacking),
        *(fabric_missing(fit) for fit in plan.fabrics if fit.lack),
        *(_notion(n, n.lack) for n in plan.notions if n.lack),
    )


def _part(planned: PlanThread, there: bool) -> str:
    """The code of a thread that is ``there``, and whether that is only a part of the need."""
    if not there:
        return ""
    places = (
        planned.held.length_mm(1),
        planned.taken.skeins or planned.taken.parts,
        planned.to_buy,
    )
    return planned.thread.code + " (in part)" * (sum(map(bool, places)) > 1)


def _named(noun: str, names: Sequence[str]) -> tuple[str, ...]:
    return (f"{noun}{'s' * (len(names) > 1)} {', '.join(names)}",) if names else ()


def _notion(notion: PlanNotion, amount: int) -> str:
    return f"{notion.name} {amount / SCALE:g} {notion.unit}".rstrip()


def fabric_labels(ledger: Ledger) -> tuple[FabricLabel, ...]:
    """A label for every piece of fabric that is owned, by count and colour."""
    return tuple(fabric_label(row) for row in owned_pieces(ledger))


def stash_list(ledger: Ledger) -> StashList:
    """Everything that is owned."""
    return StashList(
        threads=tuple(by_colour(_stash_threads(ledger))),
        fabrics=fabric_labels(ledger),
        notions=tuple(
            StashNotion(r["name"], r["unit"], r["owned"], r["promised"], r["note"])
            for r in owned_notions(ledger)
        ),
    )


def _stash_threads(ledger: Ledger) -> list[StashThread]:
    rows = ledger.rows(
        "SELECT t.id, t.line, t.code, t.name, t.hex, s.kind, s.dye_lot, s.place, b.owned,"
        " b.promised, (SELECT a.time FROM acts a WHERE a.id = (SELECT e.act FROM entries e"
        "  WHERE e.stock = s.id ORDER BY e.id LIMIT 1)) AS came"
        " FROM threads t JOIN stock s ON s.thread = t.id JOIN balances b ON b.stock = s.id"
        " WHERE b.owned > 0 ORDER BY t.line, t.code, s.dye_lot, b.owned DESC"
    )
    by_thread = defaultdict(list)
    for row in rows:
        by_thread[row["id"]].append(row)
    found: list[StashThread] = []
    for stocks in by_thread.values():
        first = stocks[0]
        skeins = [r for r in stocks if r["kind"] == "skein"]
        parts = [r for r in stocks if r["kind"] == "part"]
        found.append(
            StashThread(
                line=first["line"],
                code=first["code"],
                name=first["name"],
                rgb=rgb_of(first["hex"]),
                skeins=sum(r["owned"] for r in skeins),
                part_metres=tuple(sorted((r["owned"] / 1000 for r in parts), reverse=True)),
                promised_skeins=sum(r["promised"] for r in skeins),
                promised_metres=sum(r["promised"] for r in parts) / 1000,
                dye_lots=tuple(dict.fromkeys(r["dye_lot"] for r in stocks if r["dye_lot"])),
                places=tuple(
                    dict.fromkeys(
                        r["place"] for r in stocks if r["place"] and r["owned"] > r["promised"]
                    )
                ),
                since=min(r["came"] for r in stocks),
            )
        )
    return found


def by_colour(threads: Sequence[StashThread]) -> list[StashThread]:
    """Hues round the circle, light before dark in each; then greys; then colours not known."""
    from chartscan.colour import srgb_to_lab

    coloured = [thread for thread in threads if thread.rgb is not None]
    rest = [thread for thread in threads if thread.rgb is None]
    if not coloured:
        return rest
    labs = srgb_to_lab([thread.rgb or (0, 0, 0) for thread in coloured]).tolist()
    places = [_colour_place(*lab) for lab in labs]
    order = sorted(range(len(coloured)), key=places.__getitem__)
    return [*(coloured[number] for number in order), *rest]


def _colour_place(lightness: float, a: float, b: float) -> tuple[float, ...]:
    """Where a CIELAB colour stands in the list."""
    chroma, hue = math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360
    if chroma < GREY_BELOW:
        return (2.0, -lightness)
    return (1.0, round(hue / 30), -lightness, hue)
