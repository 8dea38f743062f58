"""The kit: chart, threads and needs joined per thread, ready for paper."""

from __future__ import annotations

from dataclasses import dataclass

from chartscan.chart import Chart
from chartscan.palette.thread import Match, Thread
from chartscan.yardage.requirement import Fabric, LengthRange, Requirement, Requirements


@dataclass(frozen=True)
class KitThread:
    """One line of a kit: a class, the thread that works it, what it takes and what is at hand.

    Attributes:
        match: the thread chosen for the class.
        requirement: what the class takes.
        owned: skeins at hand and free, part skeins as fractions; None where no stash was given.
        to_buy: whole skeins to buy.
    """

    match: Match
    requirement: Requirement
    owned: float | None
    to_buy: int

    @property
    def thread(self) -> Thread:
        """The thread chosen."""
        return self.match.chosen.thread

    @property
    def length_mm(self) -> LengthRange:
        """Length of single strand."""
        return self.requirement.length_mm


@dataclass(frozen=True)
class Kit:
    """Everything one project takes, as the kit sheet shows it."""

    title: str
    chart: Chart
    requirements: Requirements
    threads: tuple[KitThread, ...]
    warnings: tuple[str, ...] = ()

    @property
    def fabric(self) -> Fabric:
        """The ground it is worked on."""
        return self.requirements.fabric
