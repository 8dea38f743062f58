"""``chartscan estimate``: fabric to cut, thread and skeins, with the chance of running out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.of_project import kit_of, optional_chart_argument, project_options
from chartscan.cli.options import (
    READING_NAMES,
    json_option,
    open_chart,
    print_json,
    reading_options,
    warn,
)
from chartscan.cli.parsing import parsed
from chartscan.cli.sections import SectionedCommand
from chartscan.cli.working import (
    WORKING_NAMES,
    need_fabric,
    parse_fabrics,
    parse_piece,
    requirements_json,
    skein_options,
    working_options,
)

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.reading import ReadSettings
    from chartscan.yardage import EstimateSettings, Fabric, Requirement, Requirements

ALL = "all"


SAID_BY_PROJECT = (*WORKING_NAMES, *READING_NAMES, "compare", "metres", "divides")


class _OptionalValue(SectionedCommand):
    """Lets ``--explain`` stand before CHART: only a number after it is its value."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        following = [*args[1:], ""]
        told = [
            f"{word}={ALL}" if word == "--explain" and not after.isdecimal() else word
            for word, after in zip(args, following, strict=True)
        ]
        return super().parse_args(ctx, told)


@click.command(cls=_OptionalValue)
@optional_chart_argument
@project_options("Work it out for this project of your stash, with the threads chosen for it.")
@working_options
@skein_options
@click.option(
    "--compare",
    callback=parsed(parse_fabrics),
    metavar="28/2,14",
    help="Show several fabrics (count / threads crossed) side by side.",
)
@click.option(
    "--piece",
    callback=parsed(parse_piece),
    metavar="WxH",
    help="Say whether it fits on a piece of fabric (mm, or 40x50cm, 16x20in).",
)
@click.option(
    "--explain", metavar="[CLASS]", help="Show where the length comes from, for all or one class."
)
@json_option
@reading_options
def estimate(
    chart: Path | None,
    project: str | None,
    part: int | None,
    fabric: Fabric | None,
    working: EstimateSettings,
    metres: float,
    divides: int,
    compare: tuple[tuple[float, int], ...] | None,
    piece: tuple[float, float] | None,
    explain: str | None,
    as_json: bool,
    settings: ReadSettings | None,
) -> None:
    """Work out fabric size, thread and skeins.

    The needle's road is followed hole by hole: what lies in front, what lies behind, carries,
    starts, ends, and what stays in the needle. The range says what nine projects of ten take;
    skeins are counted so that you run out of a thread in no more than 5 of 100 (--risk), or of any
    thread (--risk-of project). Lengths are of single strand. MM can be given as 75, 7.5cm or 3in.
    With --project chart, fabric and threads are those of a project of your stash.

    \b
    Example: chartscan estimate chart.json --fabric 28 --over 2 --finish framed
    Example: chartscan estimate --project Robin
    Example: chartscan estimate chart.json --compare 28/2,32/2,14 --piece 40x50cm
    """
    from chartscan.tasks.fabric import choose_fabric, estimate_on
    from chartscan.yardage import Supply

    sold = Supply(metres, divides)
    if project is not None:
        made = kit_of(project, part, SAID_BY_PROJECT)
        _show(made.requirements, made.chart, explain, piece, as_json=as_json)
        return
    if compare is None:
        need_fabric(fabric)
    if chart is None:
        raise click.UsageError("Missing argument 'CHART' (or --project, which says it)")
    opened = open_chart(chart, settings)
    if compare is not None:
        if explain is not None:
            raise click.UsageError("--compare and --explain can't both be given")
        fabrics = [] if fabric is None else [fabric]
        fabrics += [choose_fabric(count, over) for count, over in compare]
        found = estimate_on(opened, fabrics, working, sold)
        _show_comparison(found, piece, as_json=as_json)
        return
    (requirements,) = estimate_on(opened, [need_fabric(fabric)], working, sold)
    _show(requirements, opened, explain, piece, as_json=as_json)


def _show(
    requirements: Requirements,
    opened: Chart,
    explain: str | None,
    piece: tuple[float, float] | None,
    *,
    as_json: bool,
) -> None:
    explained = None if explain is None else _chosen(requirements, explain)
    if as_json:
        from chartscan.report.questions import questions_object

        asked = {"questions": questions_object(opened)}
        print_json(requirements_json(requirements) | _fit_json(requirements, piece) | asked)
        return
    _print_sizes(requirements, piece)
    if explained is None:
        _print_table(opened, requirements)
    else:
        _print_terms(explained)
    warn(requirements.warnings)


def _chosen(found: Requirements, explain: str) -> Sequence[Requirement]:
    """The classes to explain; a usage error where the one told isn't worked."""
    from chartscan.errors import YardageError
    from chartscan.tasks.fabric import explain as explained

    try:
        return explained(found, None if explain == ALL else int(explain))
    except (YardageError, ValueError) as error:
        raise click.UsageError(f"--explain {explain}: {error}") from error


def _fit_json(found: Requirements, piece: tuple[float, float] | None) -> dict[str, Any]:
    from chartscan.tasks.fabric import fit_on

    if piece is None:
        return {}
    fit = fit_on(piece, found)
    return {
        "piece": {
            "size_mm": list(piece),
            "fits": fit.copies >= found.copies,
            "copies": fit.copies,
            "turned": fit.turned,
            "across": fit.across,
            "down": fit.down,
            "spare_mm": list(fit.spare_mm),
        }
    }


# ---------------------------------------------------------------------------- text


def _print_sizes(found: Requirements, piece: tuple[float, float] | None) -> None:
    from chartscan.lengths import to_cut
    from chartscan.report.units import cut, size
    from chartscan.yardage import sheet_for, stitches_per_inch

    fabric = found.fabric
    across, down = stitches_per_inch(fabric)
    each = "" if found.copies == 1 else f", {found.copies} times"
    pitch = f"{across:.4g}" if abs(across - down) < 1e-9 else f"{across:.4g} × {down:.4g}"
    click.echo(
        f"Fabric    {_fabric_words(fabric)}: {pitch} stitches per inch ({across / 2.54:.2g} per cm)"
    )
    click.echo(f"Finished  {size(found.finished_mm)}{each}")
    click.echo(f"Cut       {cut(found.cut_mm)}, {found.margin_mm:.0f} mm on each side{each}")
    if found.copies > 1:
        width, height = map(to_cut, found.cut_mm)  # each as it is cut
        sheet = sheet_for(found.copies, (width, height))
        click.echo(f"Together  {cut(sheet.size_mm)}, {sheet.across} by {sheet.down}")
    if piece is not None:
        click.echo(f"Piece     {size(piece)}: {_fit_words(found, piece)}")


def _fabric_words(fabric: Fabric) -> str:
    down = f" × {fabric.count_down:g}" if fabric.count_down else ""
    return f"{fabric.count:g}{down} over {fabric.over}"


def _fit_words(found: Requirements, piece: tuple[float, float]) -> str:
    from chartscan.tasks.fabric import fit_on

    fit = fit_on(piece, found)
    if not fit.copies:
        sides = zip(fit.spare_mm, ("wider", "higher"), strict=True)
        lacking = [f"{-spare / 10:.1f} cm {more}" for spare, more in sides if spare < 0]
        return f"too small; must be {' and '.join(lacking)}"
    turned = ", turned by a quarter" if fit.turned else ""
    if found.copies == 1 and fit.copies == 1:
        return f"it fits{turned}"
    held = f"{fit.copies} fit, {fit.across} by {fit.down}{turned}"
    return held if fit.copies >= found.copies else f"only {held}; {found.copies} are wanted"


def _print_table(chart: Chart, found: Requirements) -> None:
    from chartscan.report.terminal import add_row, console, hex_colour, swatch, table, true_colour
    from chartscan.report.units import metres, yards

    target = console()
    block = [""] if true_colour(target) else []
    heads = ("Class", "Stitches", "Str.", "Low", "Likely", "High", "Yards", "Skeins")
    rows = table("Class", *block, "Colour", *heads[1:], right=heads)
    for r in found.threads:
        rgb = chart.classes[r.class_index].rgb
        name = hex_colour(rgb) if rgb else chart.classes[r.class_index].symbol or "-"
        lengths = [*map(metres, (r.length_mm.low, r.length_mm.likely, r.length_mm.high))]
        lengths.append(yards(r.length_mm.likely))
        numbers = (f"{r.stitches:,}", str(r.strands), *lengths, str(r.skeins))
        colour = [swatch(target, rgb) for _ in block]
        add_row(rows, [str(r.class_index), *colour, name, *numbers])
    target.print(rows)
    for line in _summary(found):
        target.print(line)


def _summary(found: Requirements) -> list[str]:
    """The totals, and where one skein fewer might do, in words."""
    from chartscan.report.units import counted, length
    from chartscan.tasks.fabric import chance_words
    from chartscan.yardage import in_all, rests_on, runs_out, runs_out_words
    from chartscan.yardage.risk import SLIM

    total = in_all(found)
    stitches = counted(total.stitches, "stitch", "stitches")
    lines = [
        f"{stitches}, {counted(total.skeins, 'skein')}, {length(total.length_mm.likely)} of single"
        f" strand: from {length(total.length_mm.low)} to {length(total.length_mm.high)}."
    ]
    close = [r for r in found.threads if len(r.enough) > 1 and r.enough[-2] >= SLIM]
    lines += [f"Class {r.class_index}: {chance_words(r.enough)}." for r in close]
    names = [f"class {r.class_index}" for r in found.threads]
    together = runs_out_words(runs_out(found.threads), names)
    return [*lines, together, rests_on(found.factor)]


def _print_terms(requirements: Sequence[Requirement]) -> None:
    """Where each length comes from: every term, its sum, its spread, the bound, the skeins."""
    from chartscan.report.terminal import add_row, console, table
    from chartscan.report.units import MM_PER_YARD, length, metres
    from chartscan.tasks.fabric import chance_words
    from chartscan.yardage import Term

    target = console()
    for r in requirements:
        work = ", ".join(f"{number:,} × {kind}" for kind, number in r.work)
        target.print(f"\nClass {r.class_index}: {work}, {r.strands} in the needle")
        rows = table("Term", "Metres", "Yards", "%", "", right=("Metres", "Yards", "%"))
        likely = r.length_mm.likely
        for t in (*r.terms, Term("likely", likely, "all of the above")):
            lengths = (f"{t.mm / 1000:,.2f}", f"{t.mm / MM_PER_YARD:,.2f}")
            add_row(rows, [t.name, *lengths, f"{100 * t.mm / likely:.1f}", t.note])
        target.print(rows)
        low, high = metres(r.length_mm.low), metres(r.length_mm.high)
        target.print(f"Spread    ± {metres(r.spread_mm)} (standard deviation): {low} to {high}")
        target.print(f"Least     {length(r.least_mm)}; no way of working takes less")
        target.print(f"Skeins    {r.skeins}: {chance_words(r.enough)}")


def _show_comparison(
    found: Sequence[Requirements], piece: tuple[float, float] | None, *, as_json: bool
) -> None:
    if as_json:
        kept = ("fabric", "finished_mm", "cut_mm", "totals", "warnings")
        print_json(
            {"fabrics": [_kept(requirements_json(f), kept) | _fit_json(f, piece) for f in found]}
        )
        return
    from rich.text import Text

    from chartscan.report.terminal import add_row, console, table
    from chartscan.report.units import cut_cm, cut_inches, metres, size_cm, size_inches, yards
    from chartscan.yardage import in_all

    head = ("Fabric", "Str.", "Finished", "Cut", "Thread", "Skeins")
    numbers = ("Str.", "Thread", "Skeins")
    rows = table(
        *head, *(["Piece"] if piece else []), right=numbers, whole=("Fabric", "Finished", "Cut")
    )
    for one in found:
        total = in_all(one)
        strands = "/".join(dict.fromkeys(str(r.strands) for r in one.threads))
        sizes = [
            Text(f"{size_cm(one.finished_mm)}\n{size_inches(one.finished_mm)}"),
            Text(f"{cut_cm(one.cut_mm)}\n{cut_inches(one.cut_mm)}"),
        ]
        likely = total.length_mm.likely
        thread = (Text(f"{metres(likely)}\n{yards(likely)}"), str(total.skeins))
        fit = [_fit_words(one, piece)] if piece else []
        add_row(rows, [_fabric_words(one.fabric), strands, *sizes, *thread, *fit])
    console().print(rows)
    warn(dict.fromkeys(f"{_fabric_words(f.fabric)}: {w}" for f in found for w in f.warnings))


def _kept(whole: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: whole[name] for name in names}
