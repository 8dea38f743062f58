"""The drawer: what is owned, what came and went, taking back, and what to buy."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from chartscan.errors import StashError
from chartscan.palette import Palette
from chartscan.stash.amounts import ThreadAmount, whole_skeins
from chartscan.stash.charts import ChartSource, owned_charts
from chartscan.stash.entries import acting
from chartscan.stash.fabrics import Piece
from chartscan.stash.labels import stash_list
from chartscan.stash.ledger import default_path, open_ledger
from chartscan.stash.lookback import HistoryEntry
from chartscan.stash.lookback import history as _history
from chartscan.stash.notions import NotionInfo
from chartscan.stash.paper import ShoppingList, StashList
from chartscan.stash.plan import Elsewhere
from chartscan.stash.projects import find_project
from chartscan.stash.promised import promised_threads
from chartscan.stash.reversing import find_act, reverse
from chartscan.stash.shopping import make_list
from chartscan.stash.threads import (
    CENTS,
    ThreadInfo,
    add_thread,
    info_of,
    know_thread,
    putup_mm,
    threads_like,
)
from chartscan.stash.threads import find_thread as known_thread
from chartscan.stash.worth import Worth, worth
from chartscan.tasks.learning import unteach
from chartscan.tasks.threads import find_thread

RGB = tuple[int, int, int]


@dataclass(frozen=True)
class Drawer:
    """Threads by colour, fabric and notions that are owned; the charts; what it is worth."""

    owned: StashList
    charts: tuple[ChartSource, ...]
    worth: tuple[Worth, ...] = ()


@dataclass(frozen=True)
class AddedThread:
    """A thread that was added, and whether the stash had never heard of it."""

    code: str
    new: bool


def own_place() -> Path:
    """Where the stash lies that nobody names: by the environment, else the own data folder."""
    return default_path()


def look_into(stash: Path) -> Drawer:
    """What is owned.

    Raises:
        StashError: there is no stash, or it can't be read.
    """
    with open_ledger(stash) as ledger:
        return Drawer(stash_list(ledger), tuple(owned_charts(ledger)), worth(ledger))


def find(drawer: Drawer, words: str) -> Drawer:
    """What of a drawer has all of ``words`` in its code, name, colour or place.

    Only the worktable: it looks while one types.
    """
    wanted = words.casefold().split()

    def has(*texts: object) -> bool:
        text = " ".join(str(t) for t in texts if t).casefold()
        return all(word in text for word in wanted)

    owned = drawer.owned
    return Drawer(
        StashList(
            threads=tuple(t for t in owned.threads if has(t.line, t.code, t.name, *t.dye_lots)),
            fabrics=tuple(
                f
                for f in owned.fabrics
                if has(f.label, f"{f.count:g}", f.colour, f.fibre, f.project, f.note)
            ),
            notions=tuple(n for n in owned.notions if has(n.name, n.unit, n.note)),
        ),
        tuple(c for c in drawer.charts if has(c.where, c.note)),
    )


def promised(stash: Path) -> Mapping[tuple[str, str], tuple[Elsewhere, ...]]:
    """The threads (line, code) that are promised, and the projects that hold them.

    Only the worktable: the command line says it per project (``plan``) or thread (``what-if``).

    Raises:
        StashError: there is no stash, or it can't be read.
    """
    with open_ledger(stash) as ledger:
        return promised_threads(ledger)


def came_and_went(
    stash: Path,
    project: str | None = None,
    code: str | None = None,
    line: str | None = None,
    last: int = 50,
) -> tuple[HistoryEntry, ...]:
    """The last bookings, oldest first; of one project or one thread where told.

    Raises:
        StashError: no such project or thread.
    """
    with open_ledger(stash) as ledger:
        number = find_project(ledger, project).id if project else None
        thread = known_thread(ledger, code, line)["id"] if code else None
        return tuple(_history(ledger, project=number, thread=thread, last=last))


@dataclass(frozen=True)
class TookBack:
    """The booking that took another one back, and what became of what that had taught ("")."""

    number: int
    learning: str = ""


def take_back(stash: Path, entry: int, place: int | None = None, note: str = "") -> TookBack:
    """Take back a booking, or one line of it, and what it taught the own factor.

    Raises:
        StashError: no such booking, taken back already, or what it brought is gone since.
    """
    with open_ledger(stash) as ledger:
        act = find_act(ledger, entry)
        number = reverse(ledger, entry, place, note)
        if act["name"] != "finished":
            return TookBack(number)
        name = ledger.value("SELECT name FROM projects WHERE id = ?", (act["project"],))
    return TookBack(number, unteach(name, act["time"]))


# ---------------------------------------------------------------------------- what came


def describe_threads(
    codes: Sequence[str],
    line: str = "",
    palette: Palette | None = None,
    told: Mapping[str, Any] | None = None,
) -> tuple[ThreadInfo, ...]:
    """What is known of some threads: by their range, and by what is told, which goes before.

    Args:
        codes: their codes.
        line: their line, where several have the code.
        palette: the range to look them up in.
        told: ``name``, ``metres`` (in mm), ``strands``, ``price`` and ``colour`` (sRGB); None for
            what isn't told.

    Raises:
        MatchError: the range lacks a code.
    """
    from chartscan.colour import format_hex

    told = told or {}
    price, colour = told.get("price"), told.get("colour")
    changes: dict[str, Any] = {
        "name": told.get("name") or None,
        "putup_mm": told.get("metres"),
        "strands": told.get("strands"),
        "hex": None if colour is None else format_hex(colour),
        "price": None if price is None else round(price * CENTS),
    }
    changes = {name: value for name, value in changes.items() if value is not None}
    found = (
        ThreadInfo(code, line) if palette is None else info_of(find_thread(palette, code, line))
        for code in codes
    )
    return tuple(replace(info, **changes) for info in found)


def add_threads(
    stash: Path,
    threads: Sequence[ThreadInfo],
    skeins: ThreadAmount | int = 1,
    dye_lot: str = "",
    note: str = "",
) -> tuple[AddedThread, ...]:
    """Book threads that came, so much of each; what isn't whole skeins is part skeins.

    Raises:
        StashError: nothing would be added, or the stash can't be written.
    """
    amount = whole_skeins(skeins) if isinstance(skeins, int) else skeins
    if not any((*amount.skeins, *amount.lengths_mm)):
        raise StashError("0 skeins add nothing; say how much is left on a part skein")
    added: list[AddedThread] = []
    with open_ledger(stash, create=True) as ledger, acting(ledger, "bought", note=note) as act:
        for info in threads:
            new = not threads_like(ledger, info.code)
            number = know_thread(ledger, info)
            whole, parts_mm = amount.in_stock(putup_mm(ledger, number))
            add_thread(act, info, skeins=whole, parts_mm=parts_mm, dye_lot=dye_lot)
            added.append(AddedThread(info.code, new))
    return tuple(added)


def describe_piece(
    count: float,
    size_mm: tuple[float, float],
    colour: str = "",
    rgb: RGB | None = None,
    fibre: str = "",
    *,
    count_down: float | None = None,
    label: str = "",
    note: str = "",
) -> Piece:
    """A piece of fabric as it is booked; ``label`` is given by the stash where it is ""."""
    from chartscan.colour import format_hex

    width, height = (round(side) for side in size_mm)
    shown = None if rgb is None else format_hex(rgb)
    return Piece(count, width, height, count_down, colour, shown, fibre, label, note)


def add_fabric(stash: Path, piece: Piece, number: int = 1, note: str = "") -> tuple[str, ...]:
    """Book pieces of fabric that came; their labels.

    Raises:
        StashError, YardageError: the label is taken, or size or count make no sense.
    """
    from chartscan.stash.fabrics import add_piece

    with open_ledger(stash, create=True) as ledger, acting(ledger, "bought", note=note) as act:
        return tuple(add_piece(act, piece) for _ in range(number))


def add_notion(
    stash: Path,
    name: str,
    amount: float = 1.0,
    unit: str = "",
    price: float | None = None,
    note: str = "",
) -> None:
    """Book beads, metallics, charms, needles or whatever ``name`` is; ``price`` of one unit.

    Raises:
        StashError: it has no name, or the amount makes no sense.
    """
    from chartscan.stash.notions import add_notion as book

    info = NotionInfo(name, unit, None if price is None else round(price * CENTS))
    with open_ledger(stash, create=True) as ledger, acting(ledger, "bought", note=note) as act:
        book(act, info, amount)


def add_chart(stash: Path, source: ChartSource, copies: int | None = None) -> None:
    """Book a chart: its file, or where the paper is, or both.

    Args:
        stash: the stash's file.
        source: the chart.
        copies: paper copies; None for one, or none where there is a file.

    Only the command line: on the worktable a chart comes into the drawer with its project.

    Raises:
        ChartError: the file is no chart file; nothing was booked.
        StashError: it has no title.
    """
    from chartscan.chart import load_chart
    from chartscan.files import real_place
    from chartscan.stash.charts import add_chart as book

    if source.file:
        load_chart(Path(source.file))
        source = replace(source, file=str(real_place(Path(source.file))))
    number = (0 if source.file else 1) if copies is None else copies
    note = source.note
    with open_ledger(stash, create=True) as ledger, acting(ledger, "bought", note=note) as act:
        book(act, source, number)


# ---------------------------------------------------------------------------- what to buy


def shopping(stash: Path, projects: Sequence[str] = ()) -> ShoppingList:
    """One list over ``projects``, or over all that are planned or in work.

    Raises:
        StashError: no such project.
    """
    with open_ledger(stash) as ledger:
        return make_list(ledger, projects)
