"""``chartscan project plan``, ``list``, ``today``, ``what-if`` and ``label``."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.ledger import jsonable, line_option, open_stash, stash_option, stash_place
from chartscan.cli.options import json_option, print_json
from chartscan.cli.outputs import PAGE, check_outputs, overwrite_option, write_all
from chartscan.cli.saying import say, say_list

if TYPE_CHECKING:
    from chartscan.stash.plan import Plan, PlanThread
    from chartscan.stash.today import TodayProject
    from chartscan.stash.whatif import WhatIf


@click.command()
@click.argument("name")
@json_option
@stash_option
def plan(name: str, as_json: bool, stash_file: Path | None) -> None:
    """Show what a project needs, has, and lacks.

    Per thread: set apart, there and free, promised elsewhere (where), to buy.

    \b
    Example: chartscan project plan Robin
    """
    from chartscan.tasks.projects import plan as look

    made = look(stash_place(stash_file), name)
    if as_json:
        print_json(_plan_json(made))
    else:
        _print_plan(made)


def _plan_json(made: Plan) -> dict[str, Any]:
    return {
        "project": jsonable(made.project),
        "charts": [{**jsonable(c), "lacking": c.lacking} for c in made.charts],
        "fabric": [jsonable(f) for f in made.fabrics],
        "threads": [_thread_json(t) for t in made.threads],
        "notions": [{**jsonable(n), "lack": n.lack} for n in made.notions],
        "missing": list(made.missing),
    }


def _thread_json(t: PlanThread) -> dict[str, Any]:
    return {
        "line": t.thread.line,
        "code": t.thread.code,
        "name": t.thread.name,
        "rgb": t.thread.rgb,
        "called": list(t.need.called),
        "delta_e": None if t.need.delta_e is None else round(t.need.delta_e, 3),
        "strands": list(t.need.strands),
        "length_mm": t.need.length_mm,
        "skeins": t.skeins,
        "set_apart": {"skeins": t.held.skeins, "parts_mm": t.held.parts_mm},
        "free": {"skeins": t.free.skeins, "parts_mm": t.free.parts_mm},
        "elsewhere": [jsonable(e) for e in t.elsewhere],
        "to_buy": t.to_buy,
    }


def _print_plan(made: Plan) -> None:
    from chartscan.report.cautions import MIXED_LOTS, ONE_LOT
    from chartscan.stash.notions import SCALE

    for line in _head(made):
        say(line)
    _print_threads(made.threads)
    for n in made.notions:
        short = f", to buy {n.lack / SCALE:g}" if n.lack else ""
        say(
            f"{n.name}: needs {n.amount / SCALE:g} {n.unit}, set apart {n.held / SCALE:g},"
            f" free {n.free / SCALE:g}{short}"
        )
    if made.empty:
        say("Nothing is known of what it needs yet.")
    elif not made.missing:
        say("Everything is there.")
    if any(t.to_buy for t in made.threads):
        say(ONE_LOT)
    if any(len(t.held.lots | t.free.lots) > 1 for t in made.threads):
        say(MIXED_LOTS)


def _head(made: Plan) -> list[str]:
    """The project, its charts and its fabric, a line each."""
    from chartscan.report.units import counted, cut
    from chartscan.stash.projects import fabric_words

    project = made.project
    facts = [project.name, project.state, counted(project.copies, "copy", "copies")]
    facts += [f"bag: {project.place}"] * bool(project.place)
    facts += [f"by {project.deadline}"] * bool(project.deadline)
    lines = [", ".join(facts)]
    lines += [f"Chart: {c.where}{' (missing)' if c.lacking else ''}" for c in made.charts]
    for fit in made.fabrics:
        need = fit.need
        words = fabric_words(project) or f"{need.count:g} count {need.colour}".rstrip()
        got = f"from {', '.join(fit.pieces)}" if fit.pieces else "none there"
        short = f"; {fit.lack} to buy" if fit.lack else ""
        pieces = f"{need.pieces} of {cut((need.width_mm, need.height_mm))}"
        lines.append(f"Fabric: {words}, {pieces}: {got}{short}")
    return lines


def _print_threads(threads: Sequence[PlanThread]) -> None:
    from chartscan.report.listing import Cell, Column, Swatch
    from chartscan.report.window import shows_true_colour

    shown = shows_true_colour()
    columns = (
        *(Column("Thread", loose=True), Column("Colour"), Column("ΔE", right=True)),
        Column("Needs", right=True),
        *(Column("Set apart", right=True), Column("Free", right=True)),
        *(Column("Elsewhere", loose=True), Column("To buy", right=True)),
    )
    rows: list[list[Cell]] = []
    for t in threads:
        called = f" for {', '.join(t.need.called)}" if t.need.called else ""
        elsewhere = (f"{e.project}: {_stock_words(e.skeins, e.part_metres)}" for e in t.elsewhere)
        cells = [
            "" if t.need.delta_e is None else f"{t.need.delta_e:.1f}",
            str(t.skeins),
            _stock_words(t.held.skeins, t.held.parts_mm / 1000),
            _stock_words(t.free.skeins, t.free.parts_mm / 1000),
            "; ".join(elsewhere),
            str(t.to_buy) if t.to_buy else "",
        ]
        named = f"{t.thread.label} {t.thread.name}".rstrip() + called
        rows.append([named, Swatch(t.thread.rgb, shown), *cells])
    say_list(columns, rows)


def _stock_words(skeins: float, metres: float) -> str:
    from chartscan.report.units import amount

    words = [f"{skeins:g}"] * bool(skeins) + [f"{amount(metres)} m"] * bool(metres)
    return " + ".join(words)


@click.command("list")
@click.option(
    "--state",
    "states",
    multiple=True,
    type=click.Choice(["planned", "kitted", "in work", "finished", "given up"]),
    help="Only projects in this state; may be repeated.",
)
@json_option
@stash_option
def list_(states: tuple[str, ...], as_json: bool, stash_file: Path | None) -> None:
    """List the projects, those with the nearest deadline first.

    \b
    Example: chartscan project list --state kitted
    """
    from chartscan.report.listing import Column
    from chartscan.tasks.projects import all_projects

    found = all_projects(stash_place(stash_file), states)
    if as_json:
        print_json({"projects": [jsonable(p) for p in found]})
        return
    columns = (
        *(Column("Project", loose=True), Column("State"), Column("Bag", loose=True)),
        *(Column("Start on"), Column("Deadline"), Column("Note", loose=True)),
    )
    if not found:
        say("There is no such project." if states else "There are no projects yet.")
    rows = [[p.name, p.state, p.place, p.wished_start, p.deadline, p.note] for p in found]
    say_list(columns, rows)


@click.command()
@click.option("--all", "every", is_flag=True, help="Show every project that isn't ready, too.")
@json_option
@stash_option
def today(every: bool, as_json: bool, stash_file: Path | None) -> None:
    """Show what you can start today.

    And which of the other projects lack least, with the price where prices are known.

    \b
    Example: chartscan project today
    """
    from chartscan.stash.today import begun_short
    from chartscan.stash.turns import backup_due
    from chartscan.tasks.projects import today as look

    found = look(stash_place(stash_file))
    if as_json:
        print_json(
            {"projects": [{**jsonable(p), "ready": p.ready, "price": p.price} for p in found]}
        )
        return
    with open_stash(stash_file) as ledger:
        begun, due = begun_short(ledger), backup_due(ledger)
    if due:
        way = "`chartscan stash backup --keep FOLDER` writes one, best on another disk"
        say(f"{due}: {way}.", err=True)
    for name, missing in begun:
        say(f"Begun short: {name} still lacks {'; '.join(missing)}.")
    ready = [p for p in found if p.ready]
    others = [p for p in found if not p.ready]
    say("You can start today:" if ready else "Nothing can be started today.")
    for p in ready:
        say(f"  {p.name} ({'kitted' if p.state == 'kitted' else 'everything is there'})")
    if others:
        say("These lack something, the least first:")
        shown = others if every else others[:OTHERS_SHOWN]
        for p in shown:
            say(f"  {p.name}: {_lacks_words(p)}")
        if len(shown) < len(others):
            say(f"  … and {len(others) - len(shown)} more (--all)")


OTHERS_SHOWN = 10  # half a screen


def _lacks_words(p: TodayProject) -> str:
    from chartscan.report.units import counted

    if not p.known:
        return "nothing is known of what it needs"
    words = []
    if p.lacks.threads:
        skeins = counted(p.lacks.skeins, "skein")
        words.append(f"{skeins} of {counted(p.lacks.threads, 'thread')}")
    if p.lacks.fabrics:
        words.append(counted(p.lacks.fabrics, "piece of fabric", "pieces of fabric"))
    if p.lacks.notions:
        words.append(counted(p.lacks.notions, "notion"))
    if p.lacks.charts:
        words.append(counted(p.lacks.charts, "chart"))
    price = ""
    if p.price:
        price = f", {p.price:.2f}" + (" and what has no price" if p.lacks.unpriced else "")
    return ", ".join(words) + price


@click.command("what-if")
@click.argument("code", required=False)
@line_option
@json_option
@stash_option
def what_if(code: str | None, line: str | None, as_json: bool, stash_file: Path | None) -> None:
    """Show who could keep a thread that is short.

    And which free threads could stand in for it.

    Without CODE every thread is shown that several planned projects want and that is short.

    \b
    Example: chartscan project what-if ROS1
    """
    from chartscan.stash.threads import find_thread
    from chartscan.stash.whatif import short_threads
    from chartscan.stash.whatif import what_if as look

    with open_stash(stash_file) as ledger:
        threads = [find_thread(ledger, code, line)["id"]] if code else short_threads(ledger)
        found = [look(ledger, thread) for thread in threads]
    if as_json:
        print_json({"threads": [{**jsonable(w), "short": w.short} for w in found]})
        return
    if not found:
        say("No thread is short that several planned projects want.")
    for what in found:
        _print_what_if(what)


def _print_what_if(what: WhatIf) -> None:
    named = f"{what.thread.label} {what.thread.name}".rstrip()
    say(f"{named}: {what.free:.2g} skeins free")
    for c in what.claims:
        by = f", by {c.deadline}" if c.deadline else ""
        if not c.lack_if_last:
            outcome = "has enough whoever comes first"
        elif not c.lack_if_first:
            outcome = f"has enough if it keeps the thread, else lacks {c.lack_if_last}"
        elif c.lack_if_first == c.lack_if_last:
            outcome = f"lacks {c.lack_if_first} in any case"
        else:
            outcome = f"lacks {c.lack_if_first} if it comes first, {c.lack_if_last} if last"
        say(f"  {c.project} ({c.state}{by}) needs {c.skeins}: {outcome}")
    if what.keeper and what.short:
        say(f"  Let {what.keeper} keep it.")
    if what.short and not what.substitutes:
        say("  No free thread comes near enough to stand in.")
    for s in what.substitutes:
        stand_in = f"{s.line} {s.code} {s.name}".strip()
        say(f"  Stand-in: {stand_in}, ΔE {s.delta_e:.1f} ({s.grade}), {s.skeins:.2g} free")


@click.command()
@click.argument("names", nargs=-1, required=True)
@click.option("--sheet", type=PAGE, required=True, metavar="F.html", help="Where to write them.")
@overwrite_option
@stash_option
def label(names: tuple[str, ...], sheet: Path, stash_file: Path | None) -> None:
    """Write bag labels to print, several on a page.

    \b
    Example: chartscan project label Robin --sheet labels.html
    """
    from chartscan.report.units import counted
    from chartscan.tasks.papers import bag_labels
    from chartscan.tasks.projects import bag_labels_of

    check_outputs((sheet,), (stash_place(stash_file),))
    labels = bag_labels_of(stash_place(stash_file), names)
    write_all([(sheet, bag_labels(labels).content)])
    say(f"Wrote {counted(len(labels), 'label')} to {sheet}.", err=True)
