"""From which page goes on in which to whole layouts of pages: rows and columns without a gap."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

Pairs = Mapping[int, int]  # each page's neighbour on one side, each page once


def layouts(pages: Sequence[int], right: Pairs, below: Pairs) -> Iterator[list[list[int]]]:
    """Full rectangles of two pages and more, each a list of rows, in the order of ``pages``.

    Every row goes on page by page to the right. Below, the first pages of two rows must go on, and
    half of all: where two pages meet at a bare corner nothing can be seen.
    """
    used: set[int] = set()
    inner = {*right.values(), *below.values()}
    for first in [page for page in pages if page not in inner]:
        rows = [_row(first, right)]
        while (lower := _lower(rows[-1], right, below)) and not used & {*lower}:
            rows.append(lower)
        whole = {page for row in rows for page in row}
        if 1 < len(whole) == sum(map(len, rows)) and not used & whole:
            used |= whole
            yield rows


def _row(first: int, right: Pairs) -> list[int]:
    row = [first]
    while (after := right.get(row[-1])) is not None and after not in row:
        row.append(after)
    return row


def _lower(row: Sequence[int], right: Pairs, below: Pairs) -> list[int]:
    """The row of pages below ``row``; empty where there is none of its length."""
    if row[0] not in below:
        return []
    lower = _row(below[row[0]], right)
    told = sum(below.get(up) == low for up, low in zip(row, lower, strict=False))
    return lower if len(lower) == len(row) and 2 * told >= len(row) else []
