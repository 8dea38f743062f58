"""One reading in a process of its own, without the command line's start-up.

python -m tests.drawing.reader OUT PICTURE... [--layout RxC] [--page N] [--pages A-B]
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from chartscan.chart import save_chart
from chartscan.errors import ChartscanError
from chartscan.reading import ReadSettings, read_pages


def _span(text: str) -> tuple[int, ...]:
    low, _, high = text.partition("-")
    return tuple(range(int(low), int(high or low) + 1))


def told(arguments: Sequence[str]) -> tuple[list[Path], ReadSettings]:
    """The pictures, and what is told of them, of such arguments without OUT."""
    parser = argparse.ArgumentParser(prog="python -m tests.drawing.reader OUT")
    parser.add_argument("pictures", nargs="+", type=Path)
    parser.add_argument("--layout")
    parser.add_argument("--page", "--pages", type=_span, default=(), dest="pages")
    options = parser.parse_args(arguments)
    layout = None
    if options.layout:
        rows, columns = options.layout.split("x")
        layout = (int(rows), int(columns))
    return options.pictures, ReadSettings(layout=layout, pages=options.pages)


def main(arguments: list[str]) -> int:
    """Read, save the chart, print the seconds that it took; 1 with one line where it can't."""
    out = Path(arguments[0])
    pictures, settings = told(arguments[1:])
    start = time.perf_counter()
    try:
        reading = read_pages(pictures, settings)
    except ChartscanError as error:
        sys.stderr.write(f"Error: {error}\n")
        return 1
    seconds = time.perf_counter() - start
    save_chart(reading.chart, out)
    sys.stdout.write(f"{seconds:.3f}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
