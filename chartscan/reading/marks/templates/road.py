"""The recipe: marks where each class is a picture, stage by stage."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.classes.classify import Told
from chartscan.reading.classes.sorting import Sight
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.marks.drawn import Drawn, DrawSettings, draw_all, draw_in, sound
from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.inks import InkSettings, see_left
from chartscan.reading.marks.marks import Marks
from chartscan.reading.marks.templates.candidates import (
    CandidateSettings,
    choose_classes,
    find_candidates,
)
from chartscan.reading.marks.templates.crossing import Clear, clear_of_lines
from chartscan.reading.marks.templates.dissolve import DissolveSettings, dissolved
from chartscan.reading.marks.templates.flat import Flat, FlatSettings, is_exact, lay_flat
from chartscan.reading.marks.templates.labels import Labels, label_cells, label_under
from chartscan.reading.marks.templates.leftover import LeftoverSettings, find_leftovers
from chartscan.reading.marks.templates.painted import Painted, PaintSettings, paint_templates
from chartscan.reading.marks.templates.result import Found, as_marks
from chartscan.reading.marks.templates.template import Template
from chartscan.reading.marks.templates.verdict import (
    VerdictSettings,
    accounts,
    first_sight,
    is_suspect,
    unexplained,
)
from chartscan.reading.page.page import Page


@dataclass(frozen=True)
class TemplateSettings:
    """How marks are looked for where each class is a picture.

    Attributes:
        rounds: how often classes are looked for among the cells left over; then once more without.
        lossy: how what is drawn is looked for on pages stored with loss. Nine of ten samples along
            a line lie within 28 levels (0..255) of its usual colour on drawn scans; two inks are
            farther apart.
        flat, candidates, paint, drawn, dissolve, leftover, verdict: settings of the stages.
    """

    rounds: int = 2
    flat: FlatSettings = FlatSettings()
    candidates: CandidateSettings = CandidateSettings()
    paint: PaintSettings = PaintSettings()
    drawn: DrawSettings = field(default_factory=DrawSettings)
    lossy: DrawSettings = DrawSettings(uneven=True, inks=InkSettings(apart=(15.0, 36.0)))
    dissolve: DissolveSettings = DissolveSettings()
    leftover: LeftoverSettings = LeftoverSettings()
    verdict: VerdictSettings = VerdictSettings()


def search_by_templates(
    page: Page,
    lattice: Lattice,
    given: Marks,
    unsure: Mask,
    told: Told,
    sight: Sight | None = None,
    settings: TemplateSettings = TemplateSettings(),
) -> Marks | None:
    """The marks over ``given`` cells, and the cells sorted anew without them.

    None where there is nothing to explain. Where the marks found don't explain it, the cells stay
    as they were ``given``, and those that lines seem to lie over are doubtful. ``unsure``: cells
    that might as well be of another class than the given, shape (rows, columns).
    """
    if not is_exact(page, lattice, settings.flat) and not is_suspect(
        given, unsure, settings.verdict
    ):
        return None
    flat = lay_flat(page, lattice, sight.light if sight else None, settings.flat)
    sighted = first_sight(flat, given, settings.verdict)
    if not sighted.enough(settings.verdict):
        return None
    flat = sighted.flat
    clear = clear_of_lines(flat)
    candidates = find_candidates(flat, given.cells.ravel().astype(np.intp), settings.candidates)
    templates = choose_classes(flat, candidates, clear, settings.candidates)
    if not templates:
        return None
    labels = label_cells(flat, templates)
    if not sighted.bears(labels.off > flat.odd, settings.verdict):
        return None
    found = _explain(flat, templates, labels, clear, settings)
    if not accounts(flat, given, sighted.off, found, settings.verdict):
        return unexplained(flat, given, sighted.off, found, settings.verdict)
    return as_marks(page, lattice, flat, found, told, sight)


def _explain(
    flat: Flat,
    templates: list[Template],
    plain: Labels,
    clear: Clear,
    settings: TemplateSettings,
) -> Found:
    """The marks, the classes without those that were marks, and what is left."""
    labels = plain
    drawn: list[Drawn] = []
    for left in reversed(range(settings.rounds)):
        painted, drawn = _draw(flat, templates, labels, drawn, settings)
        gone = dissolved(flat, templates, labels, _inks(sound(drawn)), clear, settings.dissolve)
        if gone:
            templates = [t for k, t in enumerate(templates) if k not in gone]
            labels = plain = label_cells(flat, templates)
            painted, drawn = _draw(flat, templates, labels, [], settings)
        over = _over(flat, sound(drawn))
        before = labels.which
        labels = label_under(flat, templates, plain, over, _inks(sound(drawn)))
        odd = labels.off > flat.odd
        whole = painted.pieces.cells & ~odd  # a line explains them: in the next round they aren't
        unread = odd & ~painted.pieces.cells
        if not left or not (sound(drawn) or painted.pieces.cells.any()):
            break  # nothing is drawn: no class that is still to be found makes a mark of that
        new = find_leftovers(flat, unread, ~over, templates, clear, settings.leftover)
        if new:
            templates = [*templates, *new]
            plain = label_cells(flat, templates)
            labels = label_under(flat, templates, plain, over, _inks(sound(drawn)))
        elif not whole.any() and np.array_equal(before, labels.which):
            break  # the page would be painted as it was
    return Found(templates, labels, sound(drawn), painted.pieces, unread)


def _draw(
    flat: Flat,
    templates: list[Template],
    labels: Labels,
    before: list[Drawn],
    settings: TemplateSettings,
) -> tuple[Painted, list[Drawn]]:
    """The page painted with the templates, and what is drawn over that.

    Inks that were found ``before`` are taken as known, which is most of the work.
    """
    painted = paint_templates(flat, templates, labels, settings.paint)
    usual = settings.lossy if flat.lossy else settings.drawn
    fewer = min(usual.lines.nodes, flat.shape[0] * flat.shape[1])
    lines = replace(usual.lines, nodes=fewer)  # a point a cell; more is noise of the page
    how = replace(usual, lines=lines)
    page = flat.patches, painted.ground
    if before:
        left = see_left(*page, flat.tolerance)
        drawn = draw_in(*page, left, _inks(before), flat.tolerance, how)
    else:
        drawn = draw_all(*page, flat.tolerance, how)
    return painted, drawn if usual.uneven else sound(drawn)


def _inks(drawn: list[Drawn]) -> NDArray[np.float64]:
    """The colours that were drawn in, (n, 3)."""
    return np.array([d.ink.colour for d in drawn], dtype=np.float64).reshape(-1, 3)


def _over(flat: Flat, drawn: list[Drawn]) -> Mask:
    """Samples that marks lie over, and those next to them, cell by cell: (n, side, side)."""
    from scipy import ndimage

    body = np.zeros(flat.patches.pixels.shape[:2], dtype=np.bool_)
    for one in drawn:
        body |= one.body
    wide = ndimage.binary_dilation(body, np.ones((3, 3)))
    return np.asarray(flat.by_cell(wide), dtype=np.bool_)
