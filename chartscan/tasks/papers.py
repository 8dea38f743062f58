"""Everything that is printed or saved, as named bytes; a face writes or shows them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from chartscan.csvtable import table_text
from chartscan.files import file_name

if TYPE_CHECKING:
    from chartscan.archive.looking import Entry
    from chartscan.chart import Chart
    from chartscan.csvtable import Table
    from chartscan.palette import Matches
    from chartscan.reading import Reading
    from chartscan.report.working import WorkingSettings
    from chartscan.stash.kit import Kit
    from chartscan.stash.paper import BagLabel, FabricLabel, ShoppingList, StashList
    from chartscan.tasks.substitutes import Converted

HTML = "text/html; charset=utf-8"
CSV = "text/csv; charset=utf-8"
JSON = "application/json"
PNG = "image/png"
SVG = "image/svg+xml"


@dataclass(frozen=True)
class Paper:
    """One thing to print or save.

    Attributes:
        name: a file name that says what it is, without a folder.
        media: its media type.
        content: the bytes.
    """

    name: str
    media: str
    content: bytes


def _text(name: str, media: str, text: str) -> Paper:
    return Paper(name, media, text.encode("utf-8"))


# ---------------------------------------------------------------------------- of a chart


def chart_file(chart: Chart) -> Paper:
    """The chart as its file."""
    from chartscan.chart import dump_chart

    return _text("chart.json", JSON, dump_chart(chart))


def review_picture(reading: Reading) -> Paper:
    """The reading drawn beside its page.

    Only the command line: the worktable shows page and reading one over the other.
    """
    from chartscan.reading.review.picture import review_picture as draw

    return Paper("review.png", PNG, draw(reading.chart, reading.evidence))


def symbol_sheet(reading: Reading) -> Paper:
    """Every symbol of a chart, cut from its page.

    Only the command line: the worktable shows each symbol beside its class.
    """
    from chartscan.reading.review.contact import contact_sheet

    return Paper("symbols.png", PNG, contact_sheet(reading.chart, reading.evidence))


def key_to_fill_in(chart: Chart, told: Table | None = None) -> Paper:
    """A key with a row for every class; what the key ``told`` names already is filled in.

    Only the command line: on the worktable threads are typed beside their classes.
    """
    from chartscan.palette.keytemplate import key_template

    return _text("key.csv", CSV, key_template(chart, told))


def key_sheet(chart: Chart, title: str, told: Table | None = None, *, typed: bool = True) -> Paper:
    """A key to print, or to be ``typed`` into too: symbol, colour, count, room for the thread."""
    from chartscan.palette.keytemplate import key_rows
    from chartscan.report.keysheet import key_sheet as draw

    return _text("key.html", HTML, draw(chart, title, key_rows(chart, told), typed=typed))


def working_chart(
    chart: Chart, title: str, names: Mapping[int, str], how: WorkingSettings
) -> Paper:
    """The chart drawn anew, clean and large, every sheet of paper on one page to print.

    Only the command line: on the worktable it is drawn of a kit, whose threads it names.

    Raises:
        ChartError: there are more classes than signs to draw them with.
    """
    from chartscan.report.working import working_page

    return _text("working-chart.html", HTML, working_page(chart, title, names, how))


def working_sheets(
    chart: Chart, title: str, names: Mapping[int, str], how: WorkingSettings
) -> tuple[Paper, ...]:
    """The same, a picture a sheet.

    Only the command line: on the worktable the page is printed.
    """
    from chartscan.report.working import working_sheets as draw

    drawn = draw(chart, title, names, how)
    return tuple(_text(f"sheet-{i}.svg", SVG, sheet) for i, sheet in enumerate(drawn, 1))


def converted_key(converted: Converted) -> Paper:
    """A list in another range, to be used as a key.

    Only the command line: as the conversion itself.
    """
    becomes = {c.called_for: c.chosen for c in converted.found.threads}
    rows: list[Sequence[object]] = []
    for entry, thread in converted.called_for:
        new = becomes[thread]
        row = (entry, new.thread.code, new.thread.line, new.thread.name, thread.code)
        rows.append((*row, f"{new.delta_e:.2f}"))
    return _table("key.csv", ("class", "code", "line", "name", "instead_of", "delta_e"), rows)


# ---------------------------------------------------------------------------- of a kit


def kit_sheet(kit: Kit) -> Paper:
    """The kit sheet: one page to print, tick off and put in the bag."""
    from chartscan.report.sheet import kit_sheet as draw

    return _text(file_name(f"{kit.title} kit sheet", ".html"), HTML, draw(kit))


def kit_working_chart(kit: Kit) -> Paper:
    """A clean working chart to stitch from, with the kit's threads in its key.

    Raises:
        ChartError: there are more classes than signs to draw them with.
    """
    from chartscan.report.working import working_page

    names: dict[int, list[str]] = {}
    for line in kit.threads:
        for use in line.uses:
            called = f"{line.thread.code} {line.thread.name}".strip()
            names.setdefault(use.match.class_index, []).append(called)
    joined = {index: " + ".join(called) for index, called in names.items()}
    return _text("working-chart.html", HTML, working_page(kit.chart, kit.title, joined))


def kit_label(kit: Kit) -> Paper:
    """The bag label alone."""
    from chartscan.report.labels import kit_label_page

    return _text(file_name(f"{kit.title} label", ".html"), HTML, kit_label_page(kit))


def kit_table(kit: Kit) -> Paper:
    """The threads of a kit as a table."""
    from chartscan.report.kitfile import kit_csv

    return _text(file_name(f"{kit.title} threads", ".csv"), CSV, kit_csv(kit))


def kit_picture(kit: Kit) -> Paper:
    """The design as stitched."""
    from chartscan.report.sheet import kit_picture as draw
    from chartscan.report.stitched import png

    return Paper(file_name(f"{kit.title} as stitched", ".png"), PNG, png(draw(kit)))


def key_of(matches: Matches) -> Paper:
    """The threads that were chosen, as a key (class, code, line) that every command reads.

    Only the worktable: it keeps a choice beside the project that is made of it.
    """
    rows = [
        (m.class_index, m.chosen.thread.code, m.chosen.thread.line)
        for m in matches.matches
        if m.chosen.thread.told
    ]
    return _table("key.csv", ("class", "code", "line"), rows)


# ---------------------------------------------------------------------------- of the drawer


def bag_labels(labels: Sequence[BagLabel]) -> Paper:
    """Labels of projects' bags, several on a page."""
    from chartscan.report.labels import bag_label_page

    return _text("labels.html", HTML, bag_label_page(labels))


def drawer_list(owned: StashList) -> Paper:
    """Everything that is owned, threads in order of colour."""
    from chartscan.report.lists import stash_list_page

    return _text("drawer.html", HTML, stash_list_page(owned))


def fabric_labels(pieces: Sequence[FabricLabel]) -> Paper:
    """A label for each piece of fabric."""
    from chartscan.report.labels import fabric_label_page

    return _text("fabric-labels.html", HTML, fabric_label_page(pieces))


def shopping_sheet(shopping: ShoppingList) -> Paper:
    """A shopping list to print."""
    from chartscan.report.lists import shopping_page

    return _text("shopping.html", HTML, shopping_page(shopping))


def shopping_table(shopping: ShoppingList) -> Paper:
    """A shopping list as a table."""

    def price(value: float | None) -> str:
        return "" if value is None else f"{value:.2f}"

    rows: list[Sequence[object]] = []
    for t in shopping.threads:
        named = ("thread", t.line, t.code, t.name)
        rows.append((*named, t.skeins, "skeins", price(t.price), ", ".join(t.projects)))
    for f in shopping.fabrics:
        size = "{:g} x {:g} cm".format(*(mm / 10 for mm in f.least_mm))
        named = ("fabric", "", f"{f.count:g}", f.colour)
        rows.append((*named, 1, size, price(f.price), ", ".join(f.projects)))
    for n in shopping.notions:
        amount = (f"{n.amount:g}", n.unit)
        rows.append(("notion", "", "", n.name, *amount, price(n.price), ", ".join(n.projects)))
    heads = ("what", "line", "code", "name", "amount", "unit", "price", "projects")
    return _table("shopping.csv", heads, rows)


def _table(name: str, heads: Sequence[str], rows: Sequence[Sequence[object]]) -> Paper:
    cells = ([c if isinstance(c, str | int | float) else str(c) for c in row] for row in rows)
    return _text(name, CSV, table_text(heads, cells))


# ---------------------------------------------------------------------------- of a catalogue


def contact_sheet(entries: Iterable[Entry], title: str) -> Paper:
    """Small pictures of the charts of a catalogue, on one page to print.

    Only the command line: the worktable's shelf shows pictures of its own.

    Raises:
        ChartError: a chart file of the catalogue is gone or broken.
    """
    from chartscan.chart import load_chart
    from chartscan.report.contact import contact_page

    charts = ((entry, load_chart(entry.chart_file)) for entry in entries)
    return _text("charts.html", HTML, contact_page(title, charts))


def small_picture(chart: Chart) -> Paper:
    """A chart as stitched, in the page's own colours, small.

    Only the worktable: the command line puts such pictures on a sheet (`contact_sheet`).
    """
    import io

    from chartscan.report.contact import small_stitched

    made = io.BytesIO()
    small_stitched(chart).save(made, "PNG")
    return Paper("small.png", PNG, made.getvalue())


def catalogue_table(entries: Iterable[Entry]) -> Paper:
    """Charts of a catalogue as a table, a row each.

    Only the command line: the worktable's shelf holds charts that were taken from a catalogue.
    """
    from chartscan.colour import format_hex

    heads = (
        *("number", "file", "page", "columns", "rows", "stitches", "colours", "palette"),
        *("doubtful", "questions", "seconds", "version", "chart_file"),
    )
    rows: list[Sequence[object]] = []
    for e in entries:
        shades = [c.symbol or "" if c.rgb is None else format_hex(c.rgb) for c in e.colours]
        size = (e.columns, e.rows, e.stitches, len(e.colours), " ".join(shades))
        read = (e.doubtful, len(e.questions), f"{e.seconds:.2f}", e.version, str(e.chart_file))
        rows.append((e.number, e.path, "" if e.page is None else e.page, *size, *read))
    return _table("charts.csv", heads, rows)
