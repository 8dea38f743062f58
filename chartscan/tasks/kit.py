"""Kitting up: chart, threads and fabric joined into one kit."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from chartscan.lengths import to_cut
from chartscan.stash.kit import Kit, assemble, supplies
from chartscan.stash.paper import ShoppingFabric, ShoppingList, ShoppingThread
from chartscan.yardage import estimate, rests_on, runs_out_words, sheet_for

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.palette import Matches, Owned
    from chartscan.yardage import EstimateSettings, Fabric


def kit_chart(
    chart: Chart,
    matches: Matches,
    fabric: Fabric,
    working: EstimateSettings,
    owned: Owned | None = None,
    title: str = "",
) -> Kit:
    """Everything that a chart takes on a fabric with the threads that were chosen.

    Args:
        chart: the chart.
        matches: the thread of each class (:func:`chartscan.tasks.threads.choose_threads`).
        fabric: the ground.
        working: how the work is done; marks that it is done without count as not there.
        owned: what is at hand and free; it needn't be bought.
        title: what the project is called.

    Raises:
        YardageError: the chart can't be worked so.
    """
    needed = estimate(chart, fabric, working, supplies(matches))
    return assemble(chart, matches, needed, owned, title)


def chance_of_all(kit: Kit) -> str:
    """How likely it is that any thread of a kit runs out, and what that figure rests on.

    Only the worktable: the command line's tables say it themselves.
    """
    codes = [line.thread.code for line in kit.threads]
    return f"{runs_out_words(kit.runs_out, codes)} {rests_on(kit.requirements.factor)}"


def shopping_of(kit: Kit, has_fabric: bool = False) -> ShoppingList:
    """What a kit says is to buy: skeins, and the cloth unless a piece of it is there.

    Only the worktable: on the command line ``shop`` makes one list over all projects.
    """
    threads = tuple(
        ShoppingThread(
            line=t.thread.line,
            code=t.thread.code,
            name=t.thread.name,
            rgb=t.thread.rgb,
            skeins=t.to_buy,
            apart=t.to_buy,
            price=t.thread.price,
            projects=(kit.title,),
            discontinued=t.thread.status == "discontinued",
        )
        for t in kit.threads
        if t.to_buy and t.thread.told
    )
    priced = [t.price * t.skeins for t in threads if t.price is not None]
    return ShoppingList(
        projects=(kit.title,),
        threads=threads,
        fabrics=() if has_fabric else (_cloth(kit),),
        notions=(),
        saved=0,
        total=math.fsum(priced) if priced else None,
        unpriced=len(threads) - len(priced) + (not has_fabric),
    )


def _cloth(kit: Kit) -> ShoppingFabric:
    found = kit.requirements
    width, height = (int(to_cut(side)) for side in found.cut_mm)
    together = sheet_for(found.copies, (width, height)).size_mm
    return ShoppingFabric(
        count=kit.fabric.count,
        colour=kit.fabric.name,
        cuts=((width, height, found.copies),),
        least_mm=(int(together[0]), int(together[1])),
        price=None,
        projects=(kit.title,),
        meant=((width, height, kit.title),),
    )
