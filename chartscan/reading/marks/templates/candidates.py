"""Cells that look alike, within each class that was first found: marks made several of one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from chartscan.reading.marks.templates.crossing import (
    Clear,
    CrossingSettings,
    crosses,
    shows_two,
)
from chartscan.reading.marks.templates.flat import Cells, Flat
from chartscan.reading.marks.templates.template import (
    Template,
    ground_of,
    grounds_of,
    inside_of,
    off_share,
    plainly_unlike,
    some,
    template_of,
    unlike,
)


@dataclass(frozen=True)
class CandidateSettings:
    """How cells are grouped by their pictures, and which groups are classes.

    Attributes:
        groups: most groups made of one class.
        tries: cells that are tried as a picture where the usual picture of a class is none.
        fair: cells, evenly spread, that pictures are tried on: they tell a part of a half to 0.02.
        enough: part of them that a picture must be alike to for no other to be tried.
        least: cells that make a class, on exact pages and on soft ones; fewer come back later if
            no mark tells why they differ.
        few: cells, and part of the larger class, below which a picture that is the larger class's
            with something over it is taken for that.
        grounds: tolerances beyond which grounds are two, however steep the glyphs on them are.
    """

    groups: int = 12
    tries: int = 6
    fair: int = 600
    enough: float = 0.5
    least: tuple[int, int] = (3, 6)
    few: tuple[int, float] = (12, 0.1)
    grounds: float = 2.0


def find_candidates(
    flat: Flat, first: Cells, settings: CandidateSettings = CandidateSettings()
) -> list[Template]:
    """Groups of cells that look alike within each ``first`` class (n,), by falling size.

    Leader clustering: of the usual picture and some cells', the one that most cells are alike to.
    """
    found: list[Template] = []
    for number in np.unique(first):
        left = np.flatnonzero(first == number)
        for _ in range(settings.groups):
            if not len(left):
                break
            group, left = _next_group(flat, left, settings)
            if group is None:
                break
            found.append(group)
    return sorted(found, key=lambda template: -template.count)


def _next_group(
    flat: Flat, left: Cells, settings: CandidateSettings
) -> tuple[Template | None, Cells]:
    """The largest group that was tried, and the cells without it."""
    leader, most = None, 0.0
    fair = inside_of(flat, some(left, settings.fair))
    for leaders in _leaders(left, settings.tries):
        template = template_of(flat, leaders)
        alike = float((off_share(flat, fair, template) <= flat.alike).mean())
        if alike > most:
            leader, most = template, alike
        if alike > settings.enough:
            break
    if leader is None:
        return None, left
    whole = inside_of(flat, left)
    best = off_share(flat, whole, leader) <= flat.alike
    group = template_of(flat, left[best])
    if flat.soft:
        again = off_share(flat, whole, group) <= flat.alike
        if again.any():
            best = again
    return Template(group.picture, group.spread, left[best]), left[~best]


def _leaders(left: Cells, tries: int) -> list[Cells]:
    """All cells at once, then some by themselves, spread evenly."""
    step = np.unique(np.linspace(0, len(left) - 1, tries).astype(np.intp))
    return [left, *(left[i : i + 1] for i in step)]


def choose_classes(
    flat: Flat,
    candidates: list[Template],
    clear: Clear,
    settings: CandidateSettings = CandidateSettings(),
    crossing: CrossingSettings = CrossingSettings(),
) -> list[Template]:
    """Those candidates that are classes: not one that was taken before, nor one under a line."""
    kept: list[Template] = []
    for candidate in candidates:
        same = _same(flat, candidate, kept, settings)
        if same is not None:
            old = kept[same]
            members = np.concatenate([old.members, candidate.members])
            kept[same] = Template(old.picture, old.spread, members)
        elif candidate.count >= settings.least[int(flat.soft)] and not (
            _is_split(flat, candidate, kept, clear, settings)
            or any(_is_crossed(flat, candidate, o, clear, settings, crossing) for o in kept)
        ):
            kept.append(candidate)
    return kept


def _is_split(
    flat: Flat,
    candidate: Template,
    kept: list[Template],
    clear: Clear,
    settings: CandidateSettings,
) -> bool:
    """Whether the few cells of the candidate are shared by the grounds of two others."""
    few = candidate.count < settings.few[0] and len(kept) > 1
    return few and shows_two(flat, candidate, grounds_of(flat, kept), clear)


def _same(
    flat: Flat, candidate: Template, kept: list[Template], settings: CandidateSettings
) -> int | None:
    """The number of the class that looks the same; None where there is none."""
    inner = flat.inner
    differ = plainly_unlike if flat.soft else unlike
    if not kept:
        return None
    shares = np.array([float(differ(flat, candidate, other)[inner].mean()) for other in kept])
    ground = ground_of(flat, candidate.picture)
    apart = np.abs(grounds_of(flat, kept) - ground).max(axis=1)
    shares[apart > settings.grounds * flat.tolerance] = 1.0
    return int(shares.argmin()) if shares.min() <= flat.alike else None


def _is_crossed(
    flat: Flat,
    candidate: Template,
    other: Template,
    clear: Clear,
    settings: CandidateSettings,
    crossing: CrossingSettings,
) -> bool:
    """Whether the candidate is the ``other``, of more cells, with something over it."""
    few, share = settings.few
    if candidate.count >= max(few, share * other.count):
        return False
    differs = unlike(flat, candidate, other)
    covered = float(differs[flat.inner].mean())
    return covered < crossing.most and crosses(differs, clear, crossing)
