"""The recipe of an estimate: chart, stitches, road, needlefuls, spread, skeins."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from chartscan.chart import Chart
from chartscan.errors import YardageError
from chartscan.yardage.draws import Hands, Job, draw_hands, draw_job
from chartscan.yardage.fabric import cautions, cut_size, finished_size, make_fabric, usual_strands
from chartscan.yardage.geometry import LEGS, Cell
from chartscan.yardage.lines import bead_length, knot_length, route_knots, route_lines
from chartscan.yardage.pieces import Cut, cut_road
from chartscan.yardage.requirement import (
    Drawn,
    Fabric,
    LengthRange,
    Requirement,
    Requirements,
    Term,
    Work,
)
from chartscan.yardage.risk import combine
from chartscan.yardage.route import Road, route, working_order
from chartscan.yardage.settings import EstimateSettings, Supply
from chartscan.yardage.stitches import Key, list_stitches
from chartscan.yardage.together import enough_for_all


@dataclass(frozen=True)
class Needle:
    """One thread in the needle: its road, how it is cut, what it takes in mm of single strand."""

    key: Key
    road: Road
    cut: Cut
    terms: tuple[Term, ...]
    drawn: Drawn

    @property
    def length(self) -> float:
        """The likely length."""
        return math.fsum(term.mm for term in self.terms)


def estimate(
    chart: Chart,
    fabric: Fabric,
    settings: EstimateSettings = EstimateSettings(),
    threads: Mapping[int, Supply] | None = None,
) -> Requirements:
    """What ``chart`` takes of fabric and, class by class, of thread.

    Args:
        chart: the chart.
        fabric: the ground.
        settings: how the work is done.
        threads: how the thread of each class is sold; 8 m of six strands where it isn't told.

    Raises:
        YardageError: fabric, strands or settings make no sense, or nothing is to be stitched.
    """
    make_fabric(fabric.count, fabric.over, fabric.count_down)  # refuses what is no cloth
    chart = chart.without(settings.without)
    _check_classes(chart, settings)
    supplies = _Supplies(fabric, settings, dict(threads or {}))
    cell = Cell(*fabric.cell_mm)
    stitches = list_stitches(chart, dict(settings.works), settings.triangle, supplies.strands)
    works = {index: tuple(counter.items()) for index, counter in stitches.works.items()}
    restart_mm = settings.start_mm + settings.end_mm
    routed = route(stitches, cell, settings.order, settings.carry_mm, restart_mm)
    roads = dict(zip(stitches.keys, routed, strict=True))
    for key, (road, work) in _route_marks(chart, cell, settings, supplies).items():
        roads[key], works[key.class_index] = road, ((work, road.legs),)
    if not roads:
        raise YardageError("the chart has no stitches; nothing to estimate")
    hands = draw_hands()
    needles: dict[int, list[Needle]] = {}
    for number, (key, road) in enumerate(roads.items()):
        drawn = _draw(number, key, road, hands, supplies)
        ways = supplies.ways_of(key.class_index)
        needles.setdefault(key.class_index, []).append(_needle(key, road, drawn, ways))
    needed = [
        _requirement(index, needles[index], works[index], supplies.of(index), settings)
        for index in sorted(needles)
    ]
    finished = finished_size(chart.columns, chart.rows, fabric)
    return Requirements(
        fabric=fabric,
        copies=settings.copies,
        finished_mm=finished,
        cut_mm=cut_size(finished, settings.margin_mm),
        margin_mm=settings.margin_mm,
        threads=enough_for_all(needed, settings.risk, settings.risk_of),
        warnings=cautions(fabric, finished, settings.margin_mm, parts=bool(chart.parts)),
        order=working_order(cell, settings.order),
        factor=settings.factor,
        risk=settings.risk,
        risk_of=settings.risk_of,
    )


def _check_classes(chart: Chart, settings: EstimateSettings) -> None:
    """Refuse what is told of a class that the chart hasn't got, or can't have worked so."""
    kinds = {c.index: c.kind for c in chart.classes}
    for index in settings.class_strands:
        if kinds.get(index, "empty") == "empty":
            raise YardageError(f"strands are told for class {index}, but no such class is stitched")
    works: dict[str | None, frozenset[Work]] = {
        "stitch": frozenset(LEGS),
        "knot": frozenset({"knot", "bead"}),
    }
    for index, work in settings.works.items():
        kind = kinds.get(index)
        if work not in works.get(kind, ()):
            raise YardageError(
                f"class {index} can't be worked as {work}: it is {kind or 'nowhere'}"
            )


@dataclass(frozen=True)
class _Supplies:
    """Which thread a class gets and how many strands of it; refuses what can't be."""

    fabric: Fabric
    settings: EstimateSettings
    by_class: Mapping[int, Supply]

    def of(self, index: int) -> Supply:
        """How the thread of a class is sold."""
        return self.by_class.get(index, Supply())

    def ways_of(self, index: int) -> EstimateSettings:
        """How a class is worked: what can't be folded isn't begun with a loop."""
        return replace(self.settings, loop_start=False) if self.of(index).blended else self.settings

    def strands(self, index: int, work: Work) -> int:
        """Strands for a class and a kind of stitch."""
        most = self.of(index).strands
        told = self._told(index, work)
        if told is None:
            return min(most, self._usual(work))
        if not 1 <= told <= most:
            raise YardageError(
                f"{told} strands for class {index}: its thread divides into {most};"
                f" give 1 to {most}"
            )
        return told

    def _told(self, index: int, work: Work) -> int | None:
        s = self.settings
        told = s.class_strands.get(index, s.work_strands.get(work))
        is_cell = work not in ("backstitch", "double-running", "knot", "bead")
        return s.strands if told is None and is_cell else told

    def _usual(self, work: Work) -> int:
        if work in ("backstitch", "double-running"):
            return self.settings.line_strands
        if work == "knot":
            return self.settings.knot_strands
        return 1 if work == "bead" else usual_strands(self.fabric)


def _route_marks(
    chart: Chart, cell: Cell, s: EstimateSettings, supplies: _Supplies
) -> dict[Key, tuple[Road, Work]]:
    """Roads of lines and knots, and the stitch that each is worked in."""
    roads: dict[Key, tuple[Road, Work]] = {}
    for c in chart.classes:
        if c.kind == "line":
            lines = [line for line in chart.lines if line.class_index == c.index]
            road = route_lines(lines, cell, s.lines, s.carry_mm)
            work: Work = s.lines
        elif c.kind == "knot" and any(k.class_index == c.index for k in chart.knots):
            knots = [knot for knot in chart.knots if knot.class_index == c.index]
            work = s.works.get(c.index, "knot")
            each = bead_length(cell) if work == "bead" else knot_length(s.wraps)
            road = route_knots(knots, cell, each, s.carry_mm)
        else:
            continue
        if road.legs:
            roads[Key(c.index, supplies.strands(c.index, work))] = road, work
    return roads


def _draw(number: int, key: Key, road: Road, hands: Hands, supplies: _Supplies) -> Drawn:
    """One thread's road in every drawn project."""
    s = supplies.ways_of(key.class_index)
    job = Job(road.length * s.copies, road.groups.size * s.copies, key.strands, number)
    return draw_job(job, hands, supplies.of(key.class_index), s)


def _needle(key: Key, road: Road, drawn: Drawn, s: EstimateSettings) -> Needle:
    """Cut one thread's road and tell, term by term, what it takes."""
    stretch = 1 + s.take_up + s.unpicked
    cut = cut_road(road.groups * stretch, key.strands, s)
    f, copies = key.strands * s.copies, s.copies
    notes = {
        "front": f"stretches: {road.legs * copies:,}",
        "back": f"moves: {road.moves * copies:,}; areas: {road.areas * copies:,}",
        "carries": f"carries: {road.jumps * copies:,}, up to {s.carry_mm:g} mm each; under earlier"
        f" stitches: {road.slips * copies:,}",
        "take-up": f"{100 * s.take_up:g} % of the road",
        "unpicking": f"{100 * s.unpicked:g} % of the road",
        "starts and ends": f"starts: {cut.starts:,}",
        "left in needle": f"needlefuls: {cut.needlefuls:,}, of {s.working_mm:g} mm",
    }
    lengths = {
        "front": road.front * f,
        "back": road.back * f,
        "carries": road.carries * f,
        "take-up": road.length * s.take_up * f,
        "unpicking": road.length * s.unpicked * f,
        "starts and ends": cut.ends_mm * key.strands,
        "left in needle": cut.needle_mm * key.strands,
    }
    total = math.fsum(lengths.values())
    if s.factor.records:
        lengths["own factor"] = (s.factor.value - 1) * total
        notes["own factor"] = f"× {s.factor.value:.3f}, from {s.factor.records} records"
    terms = tuple(Term(name, mm, notes[name]) for name, mm in lengths.items())
    return Needle(key, road, cut, terms, drawn)


def _requirement(
    index: int,
    needles: list[Needle],
    works: tuple[tuple[Work, int], ...],
    supply: Supply,
    s: EstimateSettings,
) -> Requirement:
    """Add up the needles of one class, which share its thread."""
    main = max(needles, key=lambda n: n.road.length)
    parts = [
        Requirement(
            class_index=index,
            stitches=0,
            work=(),
            strands=main.key.strands,
            length_mm=LengthRange(n.length, n.length, n.length),
            least_mm=n.road.least * n.key.strands * s.copies,
            pieces=n.cut.needlefuls,
            skeins=0,
            terms=n.terms,
            drawn=n.drawn,
        )
        for n in needles
    ]
    return replace(
        combine(parts, supply, s.risk),
        stitches=sum(number for _, number in works) * s.copies,
        work=tuple((work, number * s.copies) for work, number in works),
    )
