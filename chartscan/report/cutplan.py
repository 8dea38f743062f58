"""The plan for cutting a project's fabric, drawn to scale, a picture a piece."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chartscan.report.html import render
from chartscan.report.units import counted, cut, size

if TYPE_CHECKING:
    from chartscan.stash.offcuts import CutPlan, Cutting, Rect

Drawn = dict[str, object]
LETTER_WIDTH = 0.7  # of a letter's height; figures of common faces are narrower than this


def cut_plan_page(project: str, cutting: Cutting) -> str:
    """A page to have beside the scissors: every piece with its cuts, offcuts and waste."""
    pieces = [_piece(plan) for plan in cutting.pieces]
    return render("cutplan.html.j2", project=project, pieces=pieces, to_buy=to_buy_lines(cutting))


def to_buy_lines(cutting: Cutting) -> list[str]:
    """What is still to be bought, a line for each size and fabric."""
    return [
        f"still to buy: {counted(need.pieces, 'piece')} of "
        f"{cut((need.width_mm, need.height_mm))}, {need.count:g} count {need.colour}".rstrip()
        for need in cutting.to_buy
    ]


def cut_plan_lines(plan: CutPlan) -> list[str]:
    """The same in words, a line each."""
    lines = [f"{plan.label}, {size(plan.size_mm)}: {_cuts(plan)}"]
    lines += [f"back in the drawer: {size((r.width, r.height))}" for r in plan.kept]
    if plan.waste_mm2:
        lines.append(f"waste: {plan.waste_mm2 / 100:.0f} cm²")
    return lines


def _cuts(plan: CutPlan) -> str:
    first = plan.cuts[0]
    return f"{counted(len(plan.cuts), 'piece')} of {cut((first.width, first.height))}"


def _piece(plan: CutPlan) -> Drawn:
    """One piece for the template; lengths in mm, letters a share of the piece's larger side."""
    head, *words = cut_plan_lines(plan)
    number = min(min(r.width, r.height) for r in plan.cuts) / 4
    return {
        "head": head,
        "words": words,
        "width": plan.size_mm[0],
        "height": plan.size_mm[1],
        "line": max(plan.size_mm) / 300,
        "letters": min(number, max(plan.size_mm) / 16),
        "small": max(plan.size_mm) / 32,
        "cuts": [_rect(r, str(n)) for n, r in enumerate(plan.cuts, 1)],
        "kept": [_rect(r, f"{r.width / 10:g} × {r.height / 10:g} cm") for r in plan.kept],
        "lost": [_rect(r, "") for r in plan.lost],
    }


def _rect(rect: Rect, text: str) -> Drawn:
    """A rectangle with its number or size; the size's letters fit into its width."""
    words = f"{rect.width / 10:g} × {rect.height / 10:g} cm"
    return {
        **rect._asdict(),
        "text": text,
        "size": words,
        "letters": rect.width / (LETTER_WIDTH * len(words)),
        "middle": rect.x + rect.width / 2,
        "centre": rect.y + rect.height / 2,
        "upright": rect.height > 2 * rect.width,
    }
