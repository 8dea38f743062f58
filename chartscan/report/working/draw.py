"""One sheet of a working chart as SVG, in millimetres."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

import numpy as np

from chartscan.chart import Chart
from chartscan.colour import format_hex
from chartscan.report.stitched import piece
from chartscan.report.working.layout import Layout, Sheet
from chartscan.report.working.looks import Look
from chartscan.report.working.settings import SIZES_MM, WorkingSettings

GRID, BOLD, SHADE = "#8a8a8a", "#000", "#e4e4e4"
THIN_MM, BOLD_MM, FRAME_MM = 0.1, 0.35, 0.5
LINE_WIDTH, KNOT_RADIUS = 0.2, 0.22  # of a cell
PART_SIGN = 0.42  # of a cell: side of the sign in a part stitch
FONT = "font-family='DejaVu Sans, Arial, sans-serif'"
NUMBER_MM, TITLE_MM, WORDS_MM = 2.6, 4.2, 2.7  # heights of letters
CAUTION = "A chart is somebody's work: this copy is for your own stitching, of a chart you may use."


@dataclass(frozen=True)
class Drawing:
    """What every sheet of a working chart is drawn from."""

    chart: Chart
    looks: Mapping[int, Look]
    layout: Layout
    title: str
    settings: WorkingSettings


def sheet_svg(drawing: Drawing, sheet: Sheet) -> str:
    """One sheet, whole: title, numbers, cells, marks, key and caution."""
    settings, cell = drawing.settings, drawing.layout.cell_mm
    width, height = SIZES_MM[settings.paper]
    margin, strip = settings.margin_mm, settings.numbers_mm
    left, top = margin + strip, margin + settings.head_mm + strip
    rows, columns = _range(sheet.rows), _range(sheet.columns)
    used = _used(drawing, sheet)
    body = [
        _text(margin, margin + TITLE_MM, _title(drawing, sheet), TITLE_MM, weight="bold"),
        f"<g transform='translate({left:g} {top:g}) scale({cell:.5g})'>",
        f"<svg width='{len(columns)}' height='{len(rows)}' viewBox='{columns.start} {rows.start} "
        f"{len(columns)} {len(rows)}'>",
        *_grounds(drawing, sheet),
        *_repeats(sheet),
        *_grid(drawing, sheet),
        *_signs(drawing, sheet),
        *_parts(drawing, sheet),
        "</svg>",
        f"<g transform='translate({-columns.start} {-rows.start})'>",
        *_marks(drawing, sheet),
        "</g></g>",
        *_numbers(drawing, sheet, (left, top)),
        *_centre(drawing, sheet, (left, top)),
    ]
    if drawing.layout.key_mm:
        below = top + len(rows) * cell + settings.key_row_mm
        body += key_entries([drawing.looks[i] for i in used], (margin, below), settings)
    body.append(_text(margin, height - margin, CAUTION, WORDS_MM))
    return _svg(width, height, _defs(drawing.looks[i] for i in used), body)


def key_svg(drawing: Drawing, looks: Sequence[Look]) -> str:
    """A sheet that holds nothing but a key."""
    settings = drawing.settings
    width, height = SIZES_MM[settings.paper]
    margin = settings.margin_mm
    body = [
        _text(margin, margin + TITLE_MM, f"{drawing.title}: key", TITLE_MM, weight="bold"),
        *key_entries(looks, (margin, margin + 2 * settings.head_mm), settings),
        _text(margin, height - margin, CAUTION, WORDS_MM),
    ]
    return _svg(width, height, _defs(looks), body)


def _svg(width: float, height: float, defs: str, body: Iterable[str]) -> str:
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{width:g}mm' height='{height:g}mm' "
        f"viewBox='0 0 {width:g} {height:g}' role='img'>"
        f"<rect width='{width:g}' height='{height:g}' fill='#fff'/>{defs}{''.join(body)}</svg>"
    )


def _defs(looks: Iterable[Look]) -> str:
    """Every sign once, in a square of one cell."""
    drawn = [
        f"<path id='sign{look.index}' d='{look.sign}' fill='{format_hex(look.ink)}' "
        f"fill-rule='evenodd' transform='{_in_cell(look.side)}'/>"
        for look in looks
        if look.sign
    ]
    return f"<defs>{''.join(drawn)}</defs>"


def _in_cell(side: float) -> str:
    """From a square of 100 × 100 to one of ``side`` cells around the origin."""
    return f"translate({-side / 2:g} {-side / 2:g}) scale({side / 100:g})"


def _range(span: tuple[int, int]) -> range:
    return range(*span)


def _used(drawing: Drawing, sheet: Sheet) -> list[int]:
    """Classes that stand on a sheet, in the order of the chart."""
    chart = drawing.chart
    (top, bottom), (left, right) = sheet.rows, sheet.columns
    found = {int(i) for i in np.unique(chart.cells[top:bottom, left:right])}
    found |= {p.class_index for p in chart.parts if _holds(sheet, p.column, p.row)}
    found |= {n.class_index for n in chart.lines if any(_holds(sheet, x, y) for x, y in n.points)}
    found |= {k.class_index for k in chart.knots if _holds(sheet, k.x, k.y)}
    return sorted(i for i in found if i in drawing.looks)


def _holds(sheet: Sheet, x: float, y: float) -> bool:
    return sheet.columns[0] <= x <= sheet.columns[1] and sheet.rows[0] <= y <= sheet.rows[1]


def _title(drawing: Drawing, sheet: Sheet) -> str:
    if len(drawing.layout.sheets) == 1:
        return drawing.title
    (top, bottom), (left, right) = sheet.rows, sheet.columns
    return (
        f"{drawing.title}: sheet {sheet.number} of {len(drawing.layout.sheets)}, "
        f"columns {left + 1} to {right}, rows {top + 1} to {bottom}"
    )


# ---------------------------------------------------------------------------- cells


def _grounds(drawing: Drawing, sheet: Sheet) -> list[str]:
    """Cells in their colours, runs of one class as one rectangle, a path a class."""
    (top, bottom), (left, right) = sheet.rows, sheet.columns
    cells = drawing.chart.cells[top:bottom, left:right]
    runs: dict[int, list[str]] = {}
    for y, row in enumerate(cells, top):
        starts = np.flatnonzero(np.diff(row, prepend=-1))
        for start, end in zip(starts, [*starts[1:], len(row)], strict=True):
            run = f"M{left + start} {y}h{end - start}v1h{start - end}z"
            runs.setdefault(int(row[start]), []).append(run)
    return [
        f"<path fill='{format_hex(drawing.looks[i].ground)}' d='{''.join(found)}'/>"
        for i, found in runs.items()
        if i in drawing.looks
    ]


def _repeats(sheet: Sheet) -> list[str]:
    """Rows and columns that the sheet before has too, shaded so that none is stitched twice."""
    (top, bottom), (left, right) = sheet.rows, sheet.columns
    down, across = sheet.repeated_rows, sheet.repeated_columns
    shades = []
    if down:
        shades.append((left, top, right - left, down))
    if across:
        shades.append((left, top + down, across, bottom - top - down))
    return [
        f"<rect x='{x}' y='{y}' width='{w}' height='{h}' fill='{SHADE}' "
        "style='mix-blend-mode:multiply'/>"
        for x, y, w, h in shades
    ]


def _grid(drawing: Drawing, sheet: Sheet) -> list[str]:
    """Thin lines, bold ones every ten, counted over the whole chart."""
    (top, bottom), (left, right) = sheet.rows, sheet.columns
    cell, every = drawing.layout.cell_mm, drawing.settings.every
    paths: dict[bool, list[str]] = {False: [], True: []}
    for x in range(left, right + 1):
        paths[x % every == 0 or x in (left, right)].append(f"M{x} {top}v{bottom - top}")
    for y in range(top, bottom + 1):
        paths[y % every == 0 or y in (top, bottom)].append(f"M{left} {y}h{right - left}")
    return [
        f"<path d='{''.join(paths[bold])}' stroke='{BOLD if bold else GRID}' "
        f"stroke-width='{(BOLD_MM if bold else THIN_MM) / cell:.4g}' fill='none'/>"
        for bold in (False, True)
    ]


def _signs(drawing: Drawing, sheet: Sheet) -> list[str]:
    (top, bottom), (left, right) = sheet.rows, sheet.columns
    cells = drawing.chart.cells[top:bottom, left:right].tolist()
    return [
        f"<use href='#sign{index}' x='{x}.5' y='{y}.5'/>"
        for y, row in enumerate(cells, top)
        for x, index in enumerate(row, left)
        if index in drawing.looks
    ]


def _parts(drawing: Drawing, sheet: Sheet) -> list[str]:
    """Part stitches: the piece in its colour with an outline, a small sign in its midst.

    Where its colour shows it, the outline is no darker than the grid: it might be taken for a line.
    """
    drawn: list[str] = []
    for part in drawing.chart.parts:
        if not _holds(sheet, part.column + 0.5, part.row + 0.5):
            continue
        look = drawing.looks[part.class_index]
        corners = [(part.column + x, part.row + y) for x, y in piece(part.shape, part.corner)]
        outline = " ".join(f"{x:g},{y:g}" for x, y in corners)
        x, y = np.mean(corners, axis=0)
        stroke = BOLD if drawing.settings.ink else GRID
        drawn.append(
            f"<polygon points='{outline}' fill='{format_hex(look.ground)}' stroke='{stroke}' "
            f"stroke-width='{THIN_MM / drawing.layout.cell_mm:.4g}'/>"
            f"<use href='#sign{look.index}' transform='translate({x:.4g} {y:.4g}) "
            f"scale({PART_SIGN:g})'/>"
        )
    return drawn


def _marks(drawing: Drawing, sheet: Sheet) -> list[str]:
    """Backstitch and knots; a line that goes on is drawn as far as its sheet shows it whole."""
    drawn: list[str] = []
    for line in drawing.chart.lines:
        look = drawing.looks[line.class_index]
        for a, b in zip(line.points, line.points[1:], strict=False):
            if _holds(sheet, *a) and _holds(sheet, *b):
                dashes = " ".join(f"{d:g}" for d in look.dashes)
                drawn.append(
                    f"<path d='M{a[0]:g} {a[1]:g}L{b[0]:g} {b[1]:g}' fill='none' "
                    f"stroke='{format_hex(look.ink)}' stroke-width='{LINE_WIDTH:g}' "
                    f"stroke-linecap='round'"
                    + (f" stroke-dasharray='{dashes}'" if dashes else "")
                    + "/>"
                )
    drawn += [
        f"<circle cx='{k.x:g}' cy='{k.y:g}' r='{KNOT_RADIUS:g}' "
        f"fill='{format_hex(drawing.looks[k.class_index].ink)}'/>"
        for k in drawing.chart.knots
        if _holds(sheet, k.x, k.y)
    ]
    return drawn


# ---------------------------------------------------------------------------- around the grid


def _numbers(drawing: Drawing, sheet: Sheet, origin: tuple[float, float]) -> list[str]:
    """The number of every tenth column and row beside its bold line, and where the sheet ends."""
    (left, top), cell = origin, drawing.layout.cell_mm
    every = drawing.settings.every
    drawn: list[str] = []
    for axis, (first, last) in enumerate((sheet.columns, sheet.rows)):
        tens = [n for n in range(first - first % every, last + 1, every) if n > first]
        shown = [n for n in tens if last - n >= every / 2 or n == last] + [last] * (
            last % every > 0
        )
        for number in sorted(set(shown)):
            along = (number - first) * cell
            if axis == 0:
                drawn.append(
                    _text(left + along, top - 1.2, str(number), NUMBER_MM, anchor="middle")
                )
            else:
                place = left - 1.2, top + along + 0.36 * NUMBER_MM
                drawn.append(_text(*place, str(number), NUMBER_MM, anchor="end"))
    return drawn


def _centre(drawing: Drawing, sheet: Sheet, origin: tuple[float, float]) -> list[str]:
    """Arrows at the middle of the whole chart, outside the grid, where the sheet has it."""
    (left, top), cell = origin, drawing.layout.cell_mm
    chart = drawing.chart
    across, down = chart.columns / 2, chart.rows / 2
    arrows: list[str] = []
    size = 1.6
    if sheet.columns[0] <= across <= sheet.columns[1] and sheet.rows[0] == 0:
        x, y = left + (across - sheet.columns[0]) * cell, top - 4.4
        arrows.append(f"M{x:.3f} {y + size:.3f}l{-size} {-size}h{2 * size}z")
    if sheet.rows[0] <= down <= sheet.rows[1] and sheet.columns[0] == 0:
        x, y = left - drawing.settings.numbers_mm + 0.2, top + (down - sheet.rows[0]) * cell
        arrows.append(f"M{x + size:.3f} {y:.3f}l{-size} {-size}v{2 * size}z")
    return [f"<path d='{arrow}'/>" for arrow in arrows]


def key_entries(
    looks: Sequence[Look], origin: tuple[float, float], settings: WorkingSettings
) -> list[str]:
    """Entries side by side: the cell or line as drawn, then its words."""
    left, top = origin
    beside = max(1, int(settings.room_mm[0] / settings.key_width_mm))
    side = settings.key_row_mm * 0.8
    drawn: list[str] = []
    for place, look in enumerate(looks):
        x = left + place % beside * settings.key_width_mm
        y = top + place // beside * settings.key_row_mm
        drawn.append(f"<g transform='translate({x:g} {y:g}) scale({side:.4g})'>{_sample(look)}</g>")
        words = look.words or f"class {look.index}"
        room = settings.key_width_mm - side - 2.5
        drawn.append(_text(x + side + 1.2, y + 0.72 * side, words, WORDS_MM, room=room))
    return drawn


def _sample(look: Look) -> str:
    """A class in a square of one: its cell, its line or its knot."""
    if look.sign:
        return (
            f"<rect width='1' height='1' fill='{format_hex(look.ground)}' stroke='{BOLD}' "
            f"stroke-width='.03'/><use href='#sign{look.index}' x='.5' y='.5'/>"
        )
    dashes = " ".join(f"{d:g}" for d in look.dashes)
    return (
        f"<path d='M.05 .5H.95' stroke='{format_hex(look.ink)}' stroke-width='.2' "
        f"stroke-dasharray='{dashes or 'none'}'/>"
    )


LETTER = 0.56  # of the height: mean width of a letter, to cut words that are too long for print


def _text(
    x: float,
    y: float,
    words: str,
    height: float,
    *,
    anchor: str = "start",
    weight: str = "normal",
    room: float | None = None,
) -> str:
    if room is not None and len(words) * height * LETTER > room:
        words = words[: max(1, int(room / height / LETTER) - 1)].rstrip() + "…"
    return (
        f"<text x='{x:.3f}' y='{y:.3f}' font-size='{height:g}' text-anchor='{anchor}' "
        f"font-weight='{weight}' {FONT}>{escape(words)}</text>"
    )
