"""Do I own it, and where? Things by code, name, place or colour, and who has them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from chartscan.colour import ciede2000, parse_hex, srgb_to_lab
from chartscan.plaintext import code_key, number_order, text_key
from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import SCALE
from chartscan.stash.threads import rgb_of
from chartscan.stash.usual import Rgb

Kind = Literal["thread", "fabric", "notion", "chart"]
KINDS: tuple[Kind, ...] = ("thread", "fabric", "notion", "chart")


@dataclass(frozen=True)
class Heap:
    """What lies in one place of a thing, or is in the bag of one project.

    Attributes:
        place: the box, drawer or bag; "" where none is told.
        project: whose bag it is in; "" where it is free.
        skeins: unopened skeins of a thread; pieces, copies or an amount of other things.
        metres: lengths of opened skeins, the longest first.
        dye_lot: of a thread, "" where not known.
    """

    place: str
    project: str
    skeins: float
    metres: tuple[float, ...] = ()
    dye_lot: str = ""


@dataclass(frozen=True)
class Found:
    """One thing that was looked for.

    Attributes:
        kind: thread, fabric, notion or chart.
        label: what it is asked for by.
        name: its colour name, or what else is known of it.
        rgb: its colour; None where not known.
        unit: skeins, pieces, copies or a notion's own.
        heaps: where it is; empty where none is owned.
        wanted_by: projects that need it.
        delta_e: how far its colour is from the one looked for (CIEDE2000); None by name.
    """

    kind: Kind
    label: str
    name: str
    rgb: Rgb | None
    unit: str
    heaps: tuple[Heap, ...]
    wanted_by: tuple[str, ...] = ()
    delta_e: float | None = None

    @property
    def owned(self) -> bool:
        """Whether any of it is there."""
        return bool(self.heaps)


@dataclass
class _Thing:
    """A thing while its heaps are gathered."""

    kind: Kind
    label: str
    name: str
    rgb: Rgb | None
    unit: str
    words: str
    heaps: dict[tuple[str, str, str], list[float]] = field(default_factory=dict)
    metres: dict[tuple[str, str, str], list[float]] = field(
        default_factory=lambda: defaultdict(list)
    )


STOCK = f"""
SELECT s.id, s.kind, s.dye_lot, s.place, b.owned - b.promised AS free,
    coalesce(t.id, -s.id) AS thing,
    CASE s.kind WHEN 'part' THEN 1000.0 WHEN 'notion' THEN {SCALE}.0 ELSE 1.0 END AS scale
FROM balances b JOIN stock s ON s.id = b.stock LEFT JOIN threads t ON t.id = s.thread
WHERE b.owned > 0
"""


def find_things(ledger: Ledger, text: str, kinds: Sequence[Kind] = KINDS) -> list[Found]:
    """Everything that is called so, has it in its name, or lies in a place of that name.

    What is called exactly so comes first, what is owned before what is only known.
    """
    key, code = text_key(text), code_key(text)
    things = _things(ledger)
    _gather(ledger, things)
    hits: list[tuple[tuple[int, bool, str], int, _Thing]] = []
    for number, thing in things.items():
        places = {text_key(place) for place, _, _ in thing.heaps}
        rank = _rank(thing, key, code, places)
        if rank is not None and thing.kind in kinds:
            hits.append(((rank, not thing.heaps, number_order(thing.label)), number, thing))
    wanted = _wanted(ledger)
    return [_found(thing, wanted.get(number, ())) for _, number, thing in sorted(hits, key=_first)]


def find_by_colour(ledger: Ledger, rgb: Rgb, number: int = 10) -> list[Found]:
    """The owned threads nearest to a colour (sRGB), the nearest first."""
    things = _things(ledger)
    _gather(ledger, things)
    near = [(n, t) for n, t in things.items() if t.kind == "thread" and t.heaps and t.rgb]
    if not near:
        return []
    colours = [t.rgb for _, t in near if t.rgb]
    apart = ciede2000(srgb_to_lab(colours), srgb_to_lab(rgb)).tolist()
    ranked = sorted(zip(apart, near, strict=True), key=lambda pair: pair[0])[:number]
    wanted = _wanted(ledger)
    return [_found(thing, wanted.get(n, ()), delta_e) for delta_e, (n, thing) in ranked]


def everything(ledger: Ledger) -> dict[int, Found]:
    """Everything that is known, owned or not: threads by number, others by minus their stock's."""
    things = _things(ledger)
    _gather(ledger, things)
    wanted = _wanted(ledger)
    return {number: _found(thing, wanted.get(number, ())) for number, thing in things.items()}


def _first(hit: tuple[tuple[int, bool, str], int, _Thing]) -> tuple[int, bool, str]:
    return hit[0]


def _rank(thing: _Thing, key: str, code: str, places: set[str]) -> int | None:
    """How well a thing answers: 0 by its own code or name … 3 by its place; None not at all."""
    if code_key(thing.label) == code or text_key(thing.label) == key:
        return 0
    if thing.words.endswith(f" {key}") or thing.words.startswith(f"{key} "):
        return 1
    if key in thing.words or code_key(thing.label).startswith(code):
        return 2
    return 3 if any(key in place for place in places) else None


def _things(ledger: Ledger) -> dict[int, _Thing]:
    """Every thing that is known: threads by their number, others by minus that of their stock."""
    found: dict[int, _Thing] = {}
    for r in ledger.rows("SELECT id, line, code, name, hex FROM threads WHERE NOT gone"):
        found[r["id"]] = _thing("thread", r["code"], (r["line"], r["name"]), r["hex"], "skeins")
    for r in ledger.rows("SELECT * FROM pieces"):
        size = f"{r['width_mm'] / 10:g} × {r['height_mm'] / 10:g} cm"
        about = (f"{r['count']:g} count", r["colour"], r["fibre"], size)
        found[-r["stock"]] = _thing("fabric", r["label"], about, r["hex"], "pieces")
    for r in ledger.rows("SELECT * FROM notions WHERE NOT gone"):
        found[-r["stock"]] = _thing("notion", r["name"], (r["note"],), None, r["unit"])
    for r in ledger.rows("SELECT * FROM charts WHERE NOT gone"):
        source = (r["book"], r["issue"], r["page"])
        found[-r["stock"]] = _thing("chart", r["title"], source, None, "copies")
    return found


def _thing(kind: Kind, label: str, about: Sequence[str], colour: str | None, unit: str) -> _Thing:
    name = ", ".join(part for part in about if part)
    words = text_key(" ".join((*about, label)))
    return _Thing(kind, label, name, rgb_of(colour), unit, words)


def _gather(ledger: Ledger, things: dict[int, _Thing]) -> None:
    """Where everything that is owned lies: what is free in its place, the rest in bags."""
    in_bags: dict[int, list[tuple[str, str, float]]] = defaultdict(list)
    for stock, name, place, amount in ledger.rows(
        "SELECT h.stock, p.name, p.place, h.amount FROM holdings h JOIN projects p"
        " ON p.id = h.project"
    ):
        in_bags[stock].append((place, name, amount))
    for row in ledger.rows(STOCK):
        thing = things.get(row["thing"])
        if thing is None:
            continue
        heaps = [(row["place"], "", row["free"]), *in_bags.get(row["id"], ())]
        for place, project, amount in heaps:
            if not amount:
                continue
            where = (place, project, row["dye_lot"])
            there = thing.heaps.setdefault(where, [0.0])
            if row["kind"] == "part":
                thing.metres.setdefault(where, []).append(amount / row["scale"])
            else:
                there[0] += amount / row["scale"]
    for row in ledger.rows("SELECT stock, place, file FROM charts WHERE NOT gone AND file <> ''"):
        things[-row["stock"]].heaps.setdefault((row["place"] or row["file"], "", ""), [0.0])


def _wanted(ledger: Ledger) -> dict[int, tuple[str, ...]]:
    wanted: dict[int, list[str]] = defaultdict(list)
    for number, name in ledger.rows(
        "SELECT d.thread, p.name FROM demands d JOIN projects p ON p.id = d.project"
        " WHERE p.state IN ('planned', 'kitted', 'in work')"
        " UNION SELECT -nn.notion, p.name FROM notion_needs nn JOIN projects p"
        " ON p.id = nn.project WHERE p.state IN ('planned', 'kitted', 'in work')"
        " ORDER BY 2"
    ):
        wanted[number].append(name)
    return {number: tuple(names) for number, names in wanted.items()}


def _found(thing: _Thing, wanted_by: tuple[str, ...], delta_e: float | None = None) -> Found:
    heaps: list[Heap] = []
    for where, amount in sorted(thing.heaps.items()):
        place, project, lot = where
        metres = tuple(sorted(thing.metres.get(where, ()), reverse=True))
        heaps.append(Heap(place, project, amount[0], metres, lot))
    return Found(
        thing.kind, thing.label, thing.name, thing.rgb, thing.unit, tuple(heaps), wanted_by, delta_e
    )


def colour_of(text: str) -> Rgb | None:
    """The colour that ``text`` says ("#20527a"); None where it says none."""
    try:
        return parse_hex(text) if text.startswith("#") else None
    except ValueError:
        return None
