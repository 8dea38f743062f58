"""What was chosen for a chart on the way to its kit: kept with it, made into values of tasks."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any

from chartscan.entry import Entry, whole
from chartscan.errors import ChartscanError
from chartscan.tasks import drawer, fabric, kit, threads
from chartscan.tasks.picks import ClassMark, Pick, find_class, find_picks, mark_class
from chartscan.worktable.linked import PROJECT, Linked, project_of, reasons
from chartscan.worktable.linked import elsewhere as said_otherwise

if TYPE_CHECKING:
    from pathlib import Path

    from chartscan.chart import Chart
    from chartscan.palette import Matches, Owned, Palette, Thread
    from chartscan.stash.kit import Kit
    from chartscan.worktable.kept import Kept
    from chartscan.worktable.table import Table
    from chartscan.yardage import EstimateSettings, Fabric

SECTION = "kit"  # of a chart's choices
RGB = tuple[int, int, int]
OF_FABRIC = ("count", "over", "strands", "margin_mm", "copies", "risk")
MOST_PICKS = 500  # of one chart; no chart has as many classes


@dataclass(frozen=True)
class KitChoices:
    """What was chosen, as it is kept; a blank or None is the usual.

    Attributes:
        range: id of the thread range.
        own_within: ΔE00 within which threads at hand come first; 0 for not at all.
        distinct: a thread of its own for each class.
        keep_shades: shades of one hue stay in order.
        at_most: no more threads than this.
        count: fabric threads per inch.
        over: threads that a stitch crosses.
        cloth: the fabric's colour, sRGB.
        strands: in the needle for crosses.
        margin_mm: cloth on each side.
        copies: how many times it is worked.
        risk: chance of running out that is accepted.
        picks: what was picked, class by class, as JSON.
    """

    range: str = "meadowline"
    own_within: float = 2.0
    distinct: bool = False
    keep_shades: bool = False
    at_most: int | None = None
    count: float = 14.0
    over: int = 1
    cloth: RGB = (246, 241, 231)
    strands: int | None = None
    margin_mm: float = 75.0
    copies: int = 1
    risk: float = 0.05
    picks: tuple[Mapping[str, Any], ...] = ()


@dataclass(frozen=True)
class Prepared:
    """A chart with its threads chosen, ready for every screen from here on.

    Attributes:
        chart: as it was read and corrected.
        choices: what was chosen.
        palette: the range.
        owned: what is free of it; None where there is no stash yet.
        picks: what was picked, by class.
        matches: the thread of each class that has one.
        lost: picks whose class is gone.
        linked: the project that the chart belongs to; its choice of threads is the chart's.
        elsewhere: what of that choice was made elsewhere, by class.
    """

    chart: Chart
    choices: KitChoices
    palette: Palette
    owned: Owned | None
    picks: Mapping[int, Pick]
    matches: Matches
    lost: tuple[Pick, ...] = ()
    linked: Linked | None = None
    elsewhere: Mapping[int, Pick] = field(default_factory=dict)

    @property
    def open(self) -> tuple[int, ...]:
        """The classes that are worked and have no thread yet."""
        return tuple(m.class_index for m in self.matches.matches if not m.chosen.thread.told)


def stash_of(table: Table) -> Path:
    """Where the ledger lies."""
    return table.stash or drawer.own_place()


def choices_of(kept: Kept) -> KitChoices:
    """What was chosen for a chart; what can't be read of it is as usual."""
    told = Entry(kept.choices.get(SECTION, {}))
    try:
        return _parse(told)
    except ValueError:
        return KitChoices()


def with_choices(kept: Kept, choices: KitChoices) -> Kept:
    """The chart with other choices."""
    return replace(kept, choices={**kept.choices, SECTION: _json(choices)})


def told_choices(before: KitChoices, told: Entry) -> KitChoices:
    """``before`` with what a request tells; ValueError names what makes no sense."""
    names = {field.name for field in fields(KitChoices)} - {"picks"}
    changed = {**_json(before), **{n: v for n, v in told.data.items() if n in names}}
    return replace(_parse(Entry(changed)), picks=before.picks)


def prepare(
    table: Table,
    chart_id: str,
    choices: KitChoices | None = None,
    elsewhere: Mapping[int, Pick] | None = None,
) -> Prepared:
    """The chart with its threads chosen; by ``choices`` where they aren't kept yet.

    What its project says otherwise goes before them, or of that only ``elsewhere``.

    Raises:
        ChartError: it isn't read yet.
        TableError: its range can't be read.
        MatchError: there are too few threads for what was chosen.
    """
    kept = table.shelf.get(chart_id)
    choices = choices or choices_of(kept)
    usual = KitChoices()
    chart = table.shelf.chart(chart_id)
    # Nothing of the fabric but its colour tells which threads are chosen.
    of_threads = replace(choices, **{name: getattr(usual, name) for name in OF_FABRIC})
    # The value holds the chart, so that no other comes to its place in memory meanwhile.
    key = (id(chart), json.dumps(_json(of_threads)), state_of(stash_of(table)))
    if elsewhere is not None:
        return _prepare(table, kept, chart, choices, elsewhere)
    made = table.lately.get(key, lambda: _prepare(table, kept, chart, choices))
    return replace(made, choices=choices)


def state_of(stash: Path) -> tuple[tuple[int, int], ...]:
    """What changes with every booking: time and size of the ledger and of its log."""
    places = (stash, stash.with_name(stash.name + "-wal"))
    return tuple((s.st_mtime_ns, s.st_size) for s in (p.stat() for p in places if p.exists()))


def _prepare(
    table: Table,
    kept: Kept,
    chart: Chart,
    choices: KitChoices,
    elsewhere: Mapping[int, Pick] | None = None,
) -> Prepared:
    palette = table.ranges.get(choices.range)
    stash, name = stash_of(table), project_named(kept)
    linked = project_of(stash, table.shelf.folder(kept.id), name, chart)
    owned = _owned(table, palette, linked)
    found = find_picks(chart, _marked(choices, palette))
    settings = threads.how_to_choose(
        distinct=choices.distinct,
        keep_shades=choices.keep_shades,
        at_most=choices.at_most,
        own_within=choices.own_within if choices.own_within and owned else None,
    )

    def choose(picks: Mapping[int, Pick]) -> Matches:
        return threads.choose_threads(
            chart, palette, settings, owned=owned, cloth=choices.cloth, picks=picks
        )

    picks, notes = found.picks, reasons(linked)
    matches = choose({**picks, **(elsewhere or {})})
    if elsewhere is None:
        elsewhere = said_otherwise(linked, matches)
        matches = choose({**picks, **elsewhere}) if elsewhere else matches
    matches = replace(matches, notes=tuple(dict.fromkeys((*matches.notes, *notes))))
    picks = {**picks, **elsewhere}
    return Prepared(chart, choices, palette, owned, picks, matches, found.lost, linked, elsewhere)


def fabric_of(choices: KitChoices) -> Fabric:
    """The fabric chosen."""
    return fabric.choose_fabric(choices.count, choices.over, rgb=choices.cloth)


def working_of(choices: KitChoices) -> EstimateSettings:
    """The way of working chosen."""
    return fabric.way_of_working(
        strands=choices.strands,
        margin_mm=choices.margin_mm,
        copies=choices.copies,
        risk=choices.risk,
    )


def make_kit(table: Table, prepared: Prepared, title: str) -> Kit:
    """The kit of what was chosen; a margin that moves costs no new estimate."""
    choices = prepared.choices
    working = working_of(choices)
    told = (choices.count, choices.over, choices.cloth, choices.strands, choices.copies)

    def make() -> tuple[Kit, Matches]:
        made = kit.kit_chart(
            prepared.chart, prepared.matches, fabric_of(choices), working, prepared.owned, title
        )
        return made, prepared.matches  # held, so that no others come to their place in memory

    key = ("kit", id(prepared.matches), told, choices.risk, learnt_from(working), title)
    made, _ = table.lately.get(key, make)
    needs = fabric.with_margin(made.requirements, prepared.chart, choices.margin_mm)
    return replace(made, requirements=needs)


def learnt_from(working: EstimateSettings) -> str:
    """What of the way of working comes from the person's own records, as a key."""
    return repr(working.factor)


def keep_pick(choices: KitChoices, chart: Chart, index: int, pick: Pick | None) -> KitChoices:
    """``choices`` with a pick for one class, or without it where None.

    Raises:
        ValueError: there is no such class, or none that is worked.
    """
    if not 0 <= index < len(chart.classes) or chart.classes[index].kind == "empty":
        raise ValueError("there is no such class")
    others = tuple(p for p in choices.picks if find_class(chart, _mark(Entry(p))) != index)
    if pick is None:
        return replace(choices, picks=others)
    mark = mark_class(chart, index)
    named = [{"line": t.line, "code": t.code} for t in pick.threads]
    kept = {**asdict(mark), "threads": named, "keyed": pick.keyed}
    return replace(choices, picks=(*others, json.loads(json.dumps(kept)))[-MOST_PICKS:])


def _json(choices: KitChoices) -> dict[str, Any]:
    """``choices`` as JSON knows them: lists, no tuples."""
    made: dict[str, Any] = json.loads(json.dumps(asdict(choices)))
    return made


def _owned(table: Table, palette: Palette, linked: Linked | None) -> Owned | None:
    """What is free, and what the chart's own project has set apart."""
    place, project = stash_of(table), "" if linked is None else linked.told.project
    return threads.at_hand(palette, stash=place, project=project).owned if place.exists() else None


def project_named(kept: Kept) -> str:
    """The name of the project that was made of a chart, as it was called then; "" without one."""
    return str(kept.choices.get(PROJECT, {}).get("name", ""))


def _marked(choices: KitChoices, palette: Palette) -> list[tuple[ClassMark, Pick]]:
    """The picks kept, as far as the range has their threads."""
    found = []
    for kept in choices.picks:
        entry = Entry(kept)
        try:
            named = tuple(_thread(palette, one) for one in entry.entries("threads", "thread"))
        except ChartscanError:
            continue  # picked in another range; it comes back with that one
        found.append((_mark(entry), Pick(named, bool(entry.data.get("keyed")))))
    return found


def _thread(palette: Palette, entry: Entry) -> Thread:
    return threads.find_thread(palette, str(entry.need("code")), str(entry.data.get("line") or ""))


def _mark(entry: Entry) -> ClassMark:
    cell = entry.list_or_empty("cell")
    return ClassMark(
        str(entry.need("kind")),
        read_rgb(entry.data.get("rgb")),
        entry.text_or_none("symbol"),
        (int(cell[0]), int(cell[1])) if cell else None,
    )


def _parse(told: Entry) -> KitChoices:
    usual = KitChoices()
    data = {**_json(usual), **told.data}
    entry = Entry(data)
    return KitChoices(
        range=str(entry.need("range")),
        own_within=entry.number("own_within"),
        distinct=bool(data["distinct"]),
        keep_shades=bool(data["keep_shades"]),
        at_most=None if data["at_most"] is None else entry.whole("at_most"),
        count=entry.number("count"),
        over=entry.whole("over"),
        cloth=read_rgb(data["cloth"]) or usual.cloth,
        strands=None if data["strands"] is None else entry.whole("strands"),
        margin_mm=entry.number("margin_mm"),
        copies=entry.whole("copies"),
        risk=entry.number("risk"),
        picks=tuple(one.data for one in entry.entries("picks", "pick")),
    )


def read_rgb(value: object) -> RGB | None:
    """Three numbers from 0 to 255, or None; ValueError for anything else."""
    if value is None:
        return None
    if not isinstance(value, list | tuple) or len(value) != 3:
        raise ValueError("a colour is three numbers")
    red, green, blue = (whole(v, "a colour") for v in value)
    if not all(0 <= v <= 255 for v in (red, green, blue)):
        raise ValueError("a colour is three numbers from 0 to 255")
    return red, green, blue
