"""Tables for the terminal: colour swatches where it can show them truly, hex where it can't.

``rich`` honours ``NO_COLOR``, ``COLUMNS`` and ``TERM``; output to a file or a pipe is plain.
"""

from __future__ import annotations

import sys
from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING

from chartscan.plaintext import plain

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

RGB = tuple[int, int, int]

SWATCH_WIDTH = 4  # columns; about two characters high, so that two edge to edge compare
MIN_WIDTH = 40  # columns; a narrower terminal than this shows no table that can be read


def console(*, stderr: bool = False) -> Console:
    """A console on standard output (or error) that prints text as it is: no markup, no emoji."""
    from rich.console import Console

    made = Console(
        file=sys.stderr if stderr else sys.stdout, markup=False, emoji=False, highlight=False
    )
    made.width = max(made.width, MIN_WIDTH)
    return made


def true_colour(target: Console) -> bool:
    """Whether ``target`` shows exact colours; a rounded one would mislead beside a thread."""
    return target.color_system == "truecolor" and not target.no_color


def swatch(target: Console, rgb: RGB | None, width: int = SWATCH_WIDTH) -> Text:
    """``rgb`` as a block of that colour; as ``#rrggbb`` where ``target`` can't; "-" for None."""
    from rich.text import Text

    if rgb is None:
        return Text("-", style="dim")
    if not true_colour(target):
        return Text(hex_colour(rgb))
    return Text(" " * width, style=f"on {hex_colour(rgb)}")


def swatch_pair(target: Console, wanted: RGB | None, got: RGB | None) -> Text:
    """Two swatches edge to edge: the chart's colour left, the thread's right."""
    from rich.text import Text

    gap = "" if true_colour(target) else " "
    return Text(gap).join([swatch(target, wanted), swatch(target, got)])


def hex_colour(rgb: RGB) -> str:
    """``#rrggbb`` of an sRGB colour 0..255."""
    return "#{:02x}{:02x}{:02x}".format(*rgb)


def table(*headers: str, right: Collection[str] = (), whole: Collection[str] = ()) -> Table:
    """An empty table with ``headers``; add rows with :func:`add_row`.

    Args:
        headers: column heads, left to right.
        right: those whose cells stand at the right edge (numbers).
        whole: those whose cells never break over lines (codes); numbers never do.
    """
    from rich import box
    from rich.table import Table

    made = Table(
        box=box.SIMPLE_HEAD,
        show_edge=False,
        pad_edge=False,
        padding=(0, 1, 0, 0),  # with the box, two columns of space between cells
        header_style="bold",
    )
    for name in headers:
        made.add_column(
            name,
            justify="right" if name in right else "left",
            no_wrap=name in right or name in whole,
            overflow="fold",
        )
    return made


def print_fitting(to: Console, layouts: Iterable[Table]) -> None:
    """Print the first of several layouts of one table that fits without breaking a cell.

    Args:
        to: where to.
        layouts: the fullest first; the last is printed, folded, where none fits.
    """
    from rich.measure import Measurement

    boundless = to.options.update(max_width=10_000)
    layout = None
    for layout in layouts:
        if Measurement.get(to, boundless, layout).maximum <= to.width:
            break
    if layout is not None:
        to.print(layout)


def add_row(to: Table, cells: Sequence[str | Text], *, end_section: bool = False) -> None:
    """Add one row; strings lose control characters, so that a file can't steer the terminal."""
    from rich.text import Text

    made = [cell if isinstance(cell, Text) else Text(plain(cell)) for cell in cells]
    to.add_row(*made, end_section=end_section)
