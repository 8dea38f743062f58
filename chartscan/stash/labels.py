"""The values for paper, read from the ledger: bag label, fabric labels, stash list by colour."""

from __future__ import annotations

import math
from collections import defaultdict

from chartscan.stash.fabrics import fabric_label, owned_pieces
from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import SCALE, owned_notions
from chartscan.stash.paper import (
    BagLabel,
    BagNotion,
    BagThread,
    FabricLabel,
    Rgb,
    StashList,
    StashNotion,
    StashThread,
)
from chartscan.stash.plan import Plan, PlanThread, make_plan
from chartscan.stash.projects import FINISHED, GIVEN_UP, Project
from chartscan.stash.threads import rgb_of

GREY_BELOW = 12.0  # CIELAB chroma under which a thread is filed with the greys; no source


def bag_label(ledger: Ledger, name: str) -> BagLabel:
    """The label of a project's bag; StashError where there is no such project."""
    plan = make_plan(ledger, name)
    project = plan.project
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
        pieces=tuple(
            fabric_label(row) for row in owned_pieces(ledger, "h.project = ?", (project.id,))
        ),
        threads=tuple(_bag_thread(thread) for thread in plan.threads),
        notions=tuple(
            BagNotion(n.name, n.unit, n.amount / SCALE, n.held / SCALE) for n in plan.notions
        ),
        missing=() if over else _not_in_bag(plan),
        copies=project.copies,
        wished_start=project.wished_start,
        deadline=project.deadline,
        note=project.note,
    )


def fabric_words(project: Project) -> str:
    """The fabric that a project is worked on, in words; "" where none is chosen."""
    if project.fabric_count is None:
        return ""
    count = f"{project.fabric_count:g}"
    if project.fabric_count_down:
        count += f" × {project.fabric_count_down:g}"
    words = [f"{count} count", project.fabric_colour, f"over {project.fabric_over}"]
    return " ".join(word for word in words if word)


def _bag_thread(planned: PlanThread) -> BagThread:
    thread = planned.thread
    parts = sorted((p.length_mm / 1000 for p in planned.held.parts), reverse=True)
    rest = planned.need.length_mm - planned.held.length_mm(thread.putup_mm)
    return BagThread(
        line=thread.line,
        code=thread.code,
        name=thread.name,
        rgb=thread.rgb,
        strands=planned.need.strands,
        skeins=planned.held.skeins,
        part_metres=tuple(parts),
        missing=max(0, math.ceil(rest / thread.putup_mm)),
        called=", ".join(planned.need.called),
    )


def _not_in_bag(plan: Plan) -> tuple[str, ...]:
    """What is still missing: to buy, or there but not set apart yet."""
    lines = [f"{line} (to buy)" for line in plan.missing_besides]
    short = [t.thread.code for t in plan.threads if t.to_buy]
    if short:
        lines.append(f"threads to buy: {', '.join(short)}")
    lines += [
        f"fabric {label} (in the stash, not set apart)"
        for fit in plan.fabrics
        for label in fit.pieces[len(fit.pieces) - len(fit.new) :]
    ]
    there = [t.thread.code for t in plan.threads if t.taken.skeins or t.taken.parts]
    if there:
        lines.append(f"threads in the stash, not set apart: {', '.join(there)}")
    lines += [
        f"{n.name} (in the stash, not set apart)"
        for n in plan.notions
        if min(n.free, n.amount - n.held) > 0
    ]
    return tuple(lines)


def fabric_labels(ledger: Ledger) -> tuple[FabricLabel, ...]:
    """A label for every piece of fabric that is owned, by count and colour."""
    return tuple(fabric_label(row) for row in owned_pieces(ledger))


def stash_list(ledger: Ledger) -> StashList:
    """Everything that is owned."""
    return StashList(
        threads=tuple(sorted(_stash_threads(ledger), key=_by_colour)),
        fabrics=fabric_labels(ledger),
        notions=tuple(
            StashNotion(r["name"], r["unit"], r["owned"], r["promised"], r["note"])
            for r in owned_notions(ledger)
        ),
    )


def _stash_threads(ledger: Ledger) -> list[StashThread]:
    rows = ledger.rows(
        "SELECT t.id, t.line, t.code, t.name, t.hex, s.kind, s.dye_lot, b.owned, b.promised"
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
            )
        )
    return found


def _by_colour(thread: StashThread) -> tuple[float, ...]:
    """Hues round the circle, light before dark in each; then greys; then colours not known."""
    if thread.rgb is None:
        return (3.0,)
    lightness, chroma, hue = _lightness_chroma_hue(thread.rgb)
    if chroma < GREY_BELOW:
        return (2.0, -lightness)
    return (1.0, round(hue / 30), -lightness, hue)


def _lightness_chroma_hue(rgb: Rgb) -> tuple[float, float, float]:
    from chartscan.colour import srgb_to_lab

    lightness, a, b = srgb_to_lab(rgb).tolist()
    return lightness, math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360
