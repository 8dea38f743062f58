"""Fabric in the ledger: each piece a thing of its own, with count, colour, fibre and size."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING

from chartscan.cloth import COUNT_TOLERANCE
from chartscan.errors import StashError
from chartscan.plaintext import plain, text_key
from chartscan.remedies import Remedy
from chartscan.stash.entries import Act, EntryKind, acting
from chartscan.stash.ledger import Ledger
from chartscan.stash.paper import FabricLabel
from chartscan.stash.threads import rgb_of
from chartscan.stash.usual import Rgb

if TYPE_CHECKING:  # setting pieces apart needs no colours
    from chartscan.palette.fabric_colour import FabricCandidate


@dataclass(frozen=True)
class Piece:
    """One piece of fabric to book.

    Attributes:
        count: fabric threads per inch across; ``count_down`` down where that differs.
        width_mm: along the weft, or just the first side.
        height_mm: the other side.
        colour: its name, or "".
        hex: "#rrggbb", or None where not known.
        fibre: cotton, linen …, or "".
        label: its own number or name; one is given where it is "".
        note: free text.
        meant_for: number of the project that it was bought for; a wish, not a promise.
    """

    count: float
    width_mm: int
    height_mm: int
    count_down: float | None = None
    colour: str = ""
    hex: str | None = None
    fibre: str = ""
    label: str = ""
    note: str = ""
    meant_for: int | None = None


def add_piece(act: Act, piece: Piece, kind: EntryKind = "bought") -> str:
    """Book one piece that came; its label.

    Raises:
        StashError: the label is taken, or a size makes no sense.
        YardageError: the count makes no sense.
    """
    from chartscan.yardage.fabric import make_fabric

    ledger = act.ledger
    if min(piece.width_mm, piece.height_mm) <= 0:
        raise StashError("a piece of fabric has a width and a height of more than nothing")
    make_fabric(piece.count, count_down=piece.count_down)  # refuses what is no cloth
    label = plain(piece.label) or _next_label(ledger)
    if ledger.value("SELECT 1 FROM pieces WHERE label = ?", (label,)):
        raise StashError(f"there is a piece {label} already; give this one another label")
    stock = ledger.insert("stock", {"kind": "piece"})
    row = {
        name: plain(value) if isinstance(value, str) else value
        for name, value in asdict(piece).items()
    }
    ledger.insert("pieces", {**row, "stock": stock, "label": label})
    act.put(stock, kind, owned=1)
    return label


def mean_for(ledger: Ledger, label: str, project: int) -> None:
    """Note that a piece was bought for a project: a wish, not a promise."""
    ledger.execute("UPDATE pieces SET meant_for = ? WHERE label = ?", (project, label))


def _next_label(ledger: Ledger) -> str:
    number = int(ledger.value("SELECT count(*) + 1 FROM pieces"))
    while ledger.value("SELECT 1 FROM pieces WHERE label = ?", (f"F{number}",)):
        number += 1
    return f"F{number}"


def find_piece(ledger: Ledger, label: str) -> sqlite3.Row:
    """The row of a piece that is there, with ``owned`` and ``promised``; StashError else."""
    row = ledger.row(
        "SELECT p.*, b.owned, b.promised FROM pieces p JOIN balances b ON b.stock = p.stock"
        " WHERE p.label = ?",
        (plain(label),),
    )
    if row is None or not row["owned"]:
        gone = "is gone; the history tells where" if row else "isn't in the stash"
        raise StashError(f"fabric {label} {gone}", Remedy.SEE_FABRIC)
    return row


def take_piece(act: Act, label: str, kind: EntryKind) -> None:
    """Book that a free piece went (used, lost)."""
    act.put(find_piece(act.ledger, label)["stock"], kind, owned=-1)


def cut_piece(act: Act, label: str, sizes: Sequence[tuple[int, int]]) -> list[str]:
    """Book that a free piece was cut into pieces of ``sizes`` (mm); their labels.

    Raises:
        StashError: the piece is promised or gone, or the sizes are more than it holds.
    """
    row = find_piece(act.ledger, label)
    _refuse_more(row, sizes)
    act.put(row["stock"], "cut", owned=-1)
    return add_cuttings(act, row, sizes)


def cut_for_project(
    ledger: Ledger,
    project: int,
    label: str,
    keep: Sequence[tuple[int, int]],
    rest: Sequence[tuple[int, int]],
    note: str = "",
) -> tuple[list[str], list[str]]:
    """Cut a piece that a project holds: ``keep`` stays in its bag, ``rest`` is free (mm).

    Returns:
        The labels of what stays in the bag, and of the rest.

    Raises:
        StashError: the project doesn't hold the piece, or the sizes are more than it has.
    """
    with ledger.atomic():
        row = find_piece(ledger, label)
        if not ledger.value(
            "SELECT 1 FROM holdings WHERE project = ? AND stock = ?", (project, row["stock"])
        ):
            raise StashError(f"fabric {label} isn't set apart for that project; kit it first")
        _refuse_more(row, [*keep, *rest])
        with acting(ledger, "cut", project=project, note=note) as act:
            act.put(row["stock"], "cut", owned=-1, promised=-1)
            kept = add_cuttings(act, row, keep)
            for piece in kept:
                act.put(find_piece(ledger, piece)["stock"], "promised", promised=1)
            return kept, add_cuttings(act, row, rest)


def _refuse_more(row: sqlite3.Row, sizes: Sequence[tuple[int, int]]) -> None:
    """Refuse cuttings that can't come from a piece: too large in all, or one of them too long."""
    width, height = row["width_mm"], row["height_mm"]
    too_long = any(
        max(size) > max(width, height) or min(size) > min(width, height) for size in sizes
    )
    if too_long or sum(w * h for w, h in sizes) > width * height:
        raise StashError(
            f"fabric {row['label']} of {width} × {height} mm is smaller than what is to be cut"
            " from it"
        )


def add_cuttings(act: Act, row: sqlite3.Row, sizes: Sequence[tuple[int, int]]) -> list[str]:
    """Book the pieces that came of cutting the piece ``row``; each keeps its count and colour."""
    piece = _piece(row)
    labels: list[str] = []
    number = 1
    for width, height in sizes:
        while act.ledger.value(
            "SELECT 1 FROM pieces WHERE label = ?", (f"{piece.label}-{number}",)
        ):
            number += 1
        cutting = replace(piece, label=f"{piece.label}-{number}", width_mm=width, height_mm=height)
        labels.append(add_piece(act, cutting, "cut"))
    return labels


def _piece(row: sqlite3.Row) -> Piece:
    names = ("count", "width_mm", "height_mm", "count_down", "colour", "hex", "fibre", "label")
    return Piece(**{name: row[name] for name in names}, note=row["note"])


# ---------------------------------------------------------------------------- looking


def owned_pieces(
    ledger: Ledger, where: str = "1", parameters: Sequence[object] = ()
) -> list[sqlite3.Row]:
    """The pieces that are owned, by count and colour.

    Beside the piece: ``promised``, ``project`` and ``holder`` (name and number of the project that
    holds it), ``meant`` (number of the planned project that it was bought for).
    """
    return ledger.rows(
        "SELECT p.*, b.promised, coalesce(j.name, '') AS project,"
        " h.project AS holder, m.id AS meant FROM pieces p"
        " JOIN balances b ON b.stock = p.stock"
        " LEFT JOIN holdings h ON h.stock = p.stock LEFT JOIN projects j ON j.id = h.project"
        " LEFT JOIN projects m ON m.id = p.meant_for AND m.state = 'planned'"
        f" WHERE b.owned > 0 AND {where} ORDER BY p.count, p.colour, p.label",
        tuple(parameters),
    )


def free_pieces(ledger: Ledger, count: float, colour: str = "") -> list[sqlite3.Row]:
    """The pieces of a count (within the tolerance of its name) and colour ("": any), free."""
    return owned_pieces(
        ledger,
        "b.promised = 0 AND p.count BETWEEN ? AND ? AND ? IN ('', text_key(p.colour))",
        (count - COUNT_TOLERANCE, count + COUNT_TOLERANCE, text_key(colour)),
    )


def fabric_label(row: sqlite3.Row) -> FabricLabel:
    """What goes on the label of a piece (a row of :func:`owned_pieces`)."""
    return FabricLabel(
        label=row["label"],
        count=row["count"],
        count_down=row["count_down"],
        colour=row["colour"],
        rgb=rgb_of(row["hex"]),
        fibre=row["fibre"],
        size_mm=(row["width_mm"], row["height_mm"]),
        project=row["project"],
        note=row["note"],
    )


def nearest_pieces(
    ledger: Ledger,
    rgb: Rgb,
    *,
    count: float | None = None,
    size_mm: tuple[float, float] | None = None,
    number: int = 5,
) -> tuple[FabricCandidate, ...]:
    """Free pieces of known colour, nearest to ``rgb`` (sRGB) first; named by their labels.

    Args:
        ledger: an open ledger.
        rgb: the colour wanted.
        count: fabric threads per inch; any where None.
        size_mm: only pieces this large, either way round.
        number: how many.

    Returns:
        The pieces; none where of no free piece the colour is known.

    Raises:
        MatchError: no free piece has that count and size.
    """
    from chartscan.colour import parse_hex, srgb_to_lab
    from chartscan.palette.fabric_colour import FabricColour, nearest_fabrics

    pieces = owned_pieces(ledger, "b.promised = 0 AND p.hex IS NOT NULL")
    fabrics: list[FabricColour] = []
    for row in pieces:
        colour = parse_hex(row["hex"])
        lightness, a, b = srgb_to_lab(colour).tolist()
        size = (float(row["width_mm"]), float(row["height_mm"]))
        named = f"{row['label']} {row['colour']}".strip()
        fabrics.append(
            FabricColour(named, (lightness, a, b), colour, row["count"], size, row["fibre"])
        )
    if not fabrics:
        return ()
    return nearest_fabrics(srgb_to_lab(rgb).tolist(), fabrics, number, count, size_mm)
