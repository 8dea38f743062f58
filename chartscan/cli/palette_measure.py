"""``chartscan palette measure``: a palette from a picture of the threads themselves."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chartscan.cli.matching import illuminant_option
from chartscan.cli.options import FILE, json_option, print_json, warn
from chartscan.cli.outputs import (
    PICTURE,
    TABLE,
    Product,
    check_outputs,
    overwrite_option,
    write_all,
)
from chartscan.cli.parsing import parse_point, parse_size, parsed

if TYPE_CHECKING:
    from chartscan.palette.measure import Measurement, MeasureSettings


@click.command()
@click.argument("picture", type=FILE)
@click.argument("codes", type=FILE)
@click.option(
    "--reference",
    "reference_file",
    type=FILE,
    metavar="REF.csv",
    help="What is of known colour: columns field, code, or x and y in pixels; and hex or L,a,b. "
    "Best six or more, light and dark, of all hues, all over the card.",
)
@click.option(
    "--grid", callback=parsed(parse_size), metavar="CxR", help="Columns x rows of fields."
)
@click.option(
    "--corners",
    callback=parsed(parse_point),
    nargs=4,
    metavar="X,Y X,Y X,Y X,Y",
    help="Outer corners of the grid in pixels: top left, top right, bottom right, bottom left.",
)
@click.option(
    "--paper",
    metavar="COLOUR",
    help="Colour of the paper between the fields (#rrggbb or lab:L,a,b), if you know it.",
)
@click.option("--no-paper", is_flag=True, help="Take nothing between the fields for paper.")
@illuminant_option
@click.option("-o", "--output", type=TABLE, help="The palette; standard output if left out.")
@click.option(
    "--review", type=PICTURE, metavar="F.png", help="Draw over the picture what was used."
)
@overwrite_option
@json_option
def measure(
    picture: Path,
    codes: Path,
    reference_file: Path | None,
    grid: tuple[int, int] | None,
    corners: tuple[tuple[float, float], ...] | None,
    paper: str | None,
    no_paper: bool,
    illuminant: str,
    output: Path | None,
    review: Path | None,
    as_json: bool,
) -> None:
    """Measure a palette from a picture of your threads.

    PICTURE is a scan or photograph of threads, wound cards or a shade card laid out in rows and
    columns, on white paper at best and with a gap between them. CODES is a CSV with a column code
    in the same order, row by row from the top left ("-" where there is no thread); name, line and
    other palette columns are carried over.

    Light and cast are taken out with the references, or else with the paper. Fields that are too
    uneven are left out and named. The spread tells how much parts of a thread differ (ΔE).

    \b
    Example: chartscan palette measure card.jpg codes.csv --reference known.csv -o mine.csv
    """
    from chartscan.palette.card import load_card, load_references
    from chartscan.palette.card_picture import card_picture
    from chartscan.palette.find_card import locate_card
    from chartscan.palette.measure import measure as measure_card
    from chartscan.palette.measure import palette_csv
    from chartscan.reading.page.page import load_page

    if corners and grid is None:
        raise click.UsageError("--corners needs --grid: how many fields are there?")
    if paper is not None and no_paper:
        raise click.UsageError("--paper and --no-paper can't both be given")
    check_outputs((output, review), (picture, codes, reference_file))
    card = load_card(codes)
    references = load_references(reference_file, card, illuminant) if reference_file else ()
    settings = _settings(paper, no_paper)
    page = load_page(picture)
    warn(page.warnings)
    lattice = locate_card(page, grid, corners)
    if grid is None:
        click.echo(f"Card: {lattice.columns} across, {lattice.rows} down.", err=True)
    measurement = measure_card(page.pixels, lattice, card, references, settings)
    products: list[Product] = []
    if output:
        products.append((output, palette_csv(measurement).encode("utf-8")))
    if review:
        drawn = card_picture(page.pixels, lattice, measurement, settings.fields)
        products.append((review, drawn))
    write_all(products)
    if as_json:
        print_json(_measurement_json(measurement))
    elif output is None:
        click.echo(palette_csv(measurement), nl=False)
    _report(measurement)


def _settings(paper: str | None, no_paper: bool) -> MeasureSettings:
    from chartscan.palette import Palette, parse_wanted
    from chartscan.palette.lighting import LightSettings
    from chartscan.palette.measure import MeasureSettings
    from chartscan.palette.paper import PaperSettings

    if paper is None:
        return MeasureSettings(light=LightSettings(use_paper=not no_paper))
    white = parse_wanted(paper, Palette((), ""))
    return MeasureSettings(light=LightSettings(paper=PaperSettings(white=white.lab)))


def _report(measurement: Measurement) -> None:
    """Say on standard error how it was done and what needs a look."""
    from chartscan.palette import find_twins

    if measurement.correction is not None:
        click.echo(f"Correction: {measurement.correction.describe()}.", err=True)
    if measurement.paper is not None:
        uneven = measurement.paper.unevenness - 1
        click.echo(f"Paper: found; the light differs by {uneven:.0%} over the card.", err=True)
    warn(measurement.warnings)
    warn(
        f"{entry.card.code} (field {entry.field}) was left out: {entry.reason}"
        for entry in measurement.left_out
    )
    twins = find_twins(measurement.palette, 0.8)
    if twins:
        pairs = ", ".join(f"{t.first.code} and {t.second.code}" for t in twins[:10])
        more = f" and {len(twins) - 10} more" if len(twins) > 10 else ""
        warn([f"few people could tell apart {pairs}{more}: is a thread there twice?"])
    click.echo(
        f"Measured {len(measurement.threads)} threads; {len(measurement.left_out)} left out.",
        err=True,
    )


def _measurement_json(measurement: Measurement) -> dict[str, Any]:
    correction = measurement.correction
    return {
        "threads": [
            {
                "code": thread.card.code,
                "field": thread.field,
                "lab": [round(value, 3) for value in thread.lab],
                "rgb": list(thread.rgb),
                "spread": round(thread.spread, 3),
                "outside": thread.outside,
            }
            for thread in measurement.threads
        ],
        "left_out": [
            {"code": entry.card.code, "field": entry.field, "reason": entry.reason}
            for entry in measurement.left_out
        ],
        "correction": None
        if correction is None
        else {
            "form": correction.candidate.form,
            "references": len(correction.residual),
            "before": round(float(correction.before.mean()), 4),
            "residual": round(float(correction.residual.mean()), 4),
            "left_out": None
            if correction.left_out is None
            else round(float(correction.left_out.mean()), 4),
        },
        "warnings": list(measurement.warnings),
    }
