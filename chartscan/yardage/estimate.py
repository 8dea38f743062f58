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

MOST_WHOLE = 4  # threads that aren't divided, side by side in a needle's eye; more won't go through


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
    crosswise = frozenset(i for i, s in supplies.by_class.items() if s.handling.cross_by_cross)
    routed = route(stitches, cell, settings.order, settings.carry_mm, restart_mm, crosswise)
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
        hand = supplies.hand_of(key.class_index)
        needles.setdefault(key.class_index, []).append(_needle(key, road, drawn, ways, hand))
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
    told = (settings.class_working_mm, settings.class_needle_mm, settings.class_hand)
    for index in {index for some in told for index in some}:
        if kinds.get(index, "empty") == "empty":
            raise YardageError(f"a cut, tail or hand is told for class {index}, which isn't worked")
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
        """How a class is worked: its own cut and tail; what can't be folded begins without a loop.

        Raises:
            YardageError: its cut leaves nothing to stitch with.
        """
        s, supply = self.settings, self.of(index)
        handling = supply.handling
        tail = s.needle_mm if handling.needle_mm is None else handling.needle_mm
        try:
            return replace(
                s,
                working_mm=s.class_working_mm.get(index, handling.cut_from(s.working_mm)),
                needle_mm=s.class_needle_mm.get(index, tail),
                loop_start=s.loop_start and not (supply.blended or handling.cross_by_cross),
            )
        except YardageError as error:
            raise YardageError(f"class {index}: {error}") from error

    def hand_of(self, index: int) -> float:
        """What a class takes as a share of the usual."""
        return self.settings.class_hand.get(index, self.of(index).handling.hand)

    def strands(self, index: int, work: Work) -> int:
        """Strands for a class and a kind of stitch."""
        divides = self.of(index).strands
        most = MOST_WHOLE if divides == 1 else divides
        told = self._told(index, work)
        if told is None:
            return min(divides, self._usual(work))
        if not 1 <= told <= most:
            isnt = f"divides into {most}" if divides > 1 else "isn't divided"
            raise YardageError(
                f"{told} strands for class {index}: its thread {isnt}; give 1 to {most}"
            )
        return told

    def _told(self, index: int, work: Work) -> int | None:
        s = self.settings
        told = s.class_strands.get(index, s.work_strands.get(work))
        is_cell = work not in ("backstitch", "double-running", "knot", "bead")
        if told is not None or not is_cell:
            return told
        own = self.of(index).handling.strands
        return s.strands if own is None else own

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
    drawn = draw_job(job, hands, supplies.of(key.class_index), s)
    hand = supplies.hand_of(key.class_index)
    return drawn if hand == 1 else Drawn(hand * drawn.used_mm, hand * drawn.put_up_mm)


def _needle(key: Key, road: Road, drawn: Drawn, s: EstimateSettings, hand: float) -> Needle:
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
    if hand != 1:
        lengths["this thread"] = (hand - 1) * math.fsum(lengths.values())
        notes["this thread"] = f"× {hand:g}, as told of it"
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
