"""What is booked into a catalogue: files and where they lie, and what became of each page."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

from chartscan.archive.catalogue import Catalogue, now
from chartscan.archive.finding import Found, Lying
from chartscan.archive.values import Facts, Leaf, Outcome, State
from chartscan.files import write_text


def begin_run(catalogue: Catalogue) -> None:
    """Forget which files earlier runs found: a run reads those of its own folders."""
    catalogue.connection.executescript(
        "DROP TABLE IF EXISTS temp.seen; CREATE TEMP TABLE seen (file INTEGER PRIMARY KEY);"
    )


def known(catalogue: Catalogue, lying: Lying) -> int | None:
    """The number of a file that is known and unchanged since; None for any other."""
    number = catalogue.value(
        "SELECT file FROM places WHERE path = ? AND bytes = ? AND modified_ns = ?",
        (lying.path, lying.bytes, lying.modified_ns),
    )
    return None if number is None else int(number)


def book_file(catalogue: Catalogue, found: Found) -> int:
    """Book a file, and where it lies; its number. The same bytes in two places are one file."""
    with catalogue.atomic():
        catalogue.execute(
            "INSERT OR IGNORE INTO files (sha256, bytes, pages, paged) VALUES (?, ?, ?, ?)",
            (found.sha256, found.bytes, found.pages, found.paged),
        )
        number = _file(catalogue, found.sha256)
        catalogue.execute(
            "INSERT OR REPLACE INTO places VALUES (?, ?, ?, ?)",
            (found.path, number, found.bytes, found.modified_ns),
        )
    return number


def is_first_sight(catalogue: Catalogue, file: int) -> bool:
    """Whether this run hasn't met the file before, in another place; from now on it has."""
    if catalogue.value("SELECT 1 FROM temp.seen WHERE file = ?", (file,)):
        return False
    catalogue.execute("INSERT INTO temp.seen VALUES (?)", (file,))
    return True


def _file(catalogue: Catalogue, sha256: str) -> int:
    return int(catalogue.value("SELECT id FROM files WHERE sha256 = ?", (sha256,)))


# ---------------------------------------------------------------------------- what isn't read yet


def pages_of(catalogue: Catalogue, file: int) -> int:
    """How many pages a file holds."""
    return int(catalogue.value("SELECT pages FROM files WHERE id = ?", (file,)))


def unread(
    catalogue: Catalogue, file: int, path: str, version: str, again: Sequence[State] = ()
) -> Iterator[Leaf]:
    """The pages of a file that this version hasn't read, or is to read ``again``.

    Args:
        catalogue: where they are booked.
        file: its number.
        path: where it lies.
        version: of the program.
        again: states whose pages are read again.
    """
    (told,) = catalogue.rows("SELECT sha256, pages, paged FROM files WHERE id = ?", (file,))
    rows = catalogue.rows(
        "SELECT number FROM pages WHERE file = ? AND version = ?"
        " AND state NOT IN (SELECT value FROM json_each(?))",
        (file, version, json.dumps(list(again))),
    )
    done = {row["number"] for row in rows}
    for number in range(1, told["pages"] + 1):
        if number not in done:
            yield Leaf(path, told["sha256"], number if told["paged"] else None)


# ---------------------------------------------------------------------------- what became of a page


def book(catalogue: Catalogue, outcome: Outcome, version: str) -> None:
    """Book what became of a page, in one transaction, over what an earlier version made of it.

    Its chart file is written first: if all ends between the two, it is written again.

    Raises:
        ArchiveError, OutputError: the disk is full or refuses.
    """
    name = chart_name(*outcome.leaf.key)
    if outcome.facts is not None:
        path = catalogue.charts / name
        path.parent.mkdir(parents=True, exist_ok=True)
        write_text(path, outcome.chart)
    with catalogue.atomic():
        sha256, number = outcome.leaf.key
        file = _file(catalogue, sha256)
        catalogue.execute(BOOK, (file, number, version, *_told(outcome), now()))
        page = page_of(catalogue, file, number)
        forget_chart(catalogue, page)
        if outcome.facts is not None:
            book_chart(catalogue, page, name, outcome.facts)


BOOK = """
    INSERT INTO pages (file, number, version, state, reason, seconds, booked)
    VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT (file, number) DO UPDATE SET
    version = excluded.version, state = excluded.state, reason = excluded.reason,
    seconds = excluded.seconds, booked = excluded.booked
"""  # a page that is read again keeps its number


def _told(outcome: Outcome) -> tuple[str, str, float]:
    return outcome.state, outcome.reason, outcome.seconds


def page_of(catalogue: Catalogue, file: int, number: int) -> int:
    """The number in the catalogue of a page of a file."""
    sql = "SELECT id FROM pages WHERE file = ? AND number = ?"
    return int(catalogue.value(sql, (file, number)))


def forget_chart(catalogue: Catalogue, page: int) -> None:
    """Forget the chart of a page, and what it seemed to be part of, inside ``atomic``."""
    for table in ("charts", "colours", "questions", "compared"):
        catalogue.execute(f"DELETE FROM {table} WHERE page = ?", (page,))
    catalogue.execute("DELETE FROM fits WHERE ? IN (first, second)", (page,))
    catalogue.execute(
        "DELETE FROM wholes WHERE standing = 'proposed'"
        " AND id IN (SELECT whole FROM parts WHERE page = ?)",
        (page,),
    )


def chart_name(sha256: str, number: int) -> str:
    """The chart file of a page, below the folder of chart files: 256 folders, no page twice."""
    return f"{sha256[:2]}/{sha256[2:26]}-{number}.json"


def book_chart(catalogue: Catalogue, page: int, name: str, facts: Facts) -> None:
    """Book the chart of a page, ``name`` being its chart file, inside ``atomic``."""
    numbers = (facts.columns, facts.rows, facts.stitches, len(facts.colours), facts.marks)
    catalogue.execute(
        "INSERT INTO charts VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (page, name, *numbers, facts.doubtful, *facts.pitch_px),
    )
    catalogue.many(
        "INSERT INTO colours VALUES (?, ?, ?, ?, ?)",
        [
            (page, n, None if c.rgb is None else packed(c.rgb), c.symbol, c.stitches)
            for n, c in enumerate(facts.colours)
        ],
    )
    catalogue.many(
        "INSERT INTO questions VALUES (?, ?, ?)",
        [(page, n, text) for n, text in enumerate(facts.questions)],
    )


def packed(rgb: tuple[int, int, int]) -> int:
    """One number for sRGB, 0xRRGGBB."""
    return int.from_bytes(bytes(rgb))


def is_kept(catalogue: Catalogue, leaf: Leaf) -> bool:
    """Whether a page holds what a person said, which stands above a later reading.

    That is a chart with corrections, or one that was joined with others.
    """
    from chartscan.chart import load_chart
    from chartscan.errors import ChartError

    joined = catalogue.value(
        "SELECT 1 FROM files JOIN pages ON file = files.id JOIN parts ON page = pages.id"
        " JOIN wholes ON whole = wholes.id WHERE sha256 = ? AND number = ?"
        " AND standing = 'joined'",
        leaf.key,
    )
    path = catalogue.charts / chart_name(*leaf.key)
    if joined or not path.is_file():
        return bool(joined)
    try:
        return bool(load_chart(path).corrections)
    except ChartError:
        return False


def keep(catalogue: Catalogue, leaf: Leaf, version: str) -> None:
    """Let the chart of a page stand as it is, as if this version had read it."""
    sha256, number = leaf.key
    with catalogue.atomic():
        catalogue.execute(
            "UPDATE pages SET version = ? WHERE file = ? AND number = ?",
            (version, _file(catalogue, sha256), number),
        )
