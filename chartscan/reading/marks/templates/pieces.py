"""Part stitches among symbols: cells shared by two grounds, with small glyphs or none."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Fills, Mask
from chartscan.reading.marks.parts import PartSettings, Piece, find_parts, with_bare_ground
from chartscan.reading.marks.patches import Samples, difference
from chartscan.reading.marks.templates.crossing import blended
from chartscan.reading.marks.templates.flat import Flat
from chartscan.reading.marks.templates.labels import Labels
from chartscan.reading.marks.templates.small import split_on_one_ground, told_by_glyphs
from chartscan.reading.marks.templates.template import Template, ground_of


@dataclass(frozen=True)
class PieceSettings:
    """How split cells are looked for.

    Attributes:
        same: difference (0..255) up to which two grounds are one, and the same as a part of the
            tolerance.
        ink: difference from its ground from which on a template's glyph has an ink of its own.
        one: difference from another ground up to which both are the paper of a chart in one ink.
        core: part of that difference that the body of a glyph has; less is its soft edge.
        parts: what makes a cell split.
    """

    same: tuple[float, float] = (4.0, 0.5)
    ink: float = 60.0
    one: float = 16.0
    core: float = 0.9
    parts: PartSettings = PartSettings()


@dataclass(frozen=True, eq=False)
class Pieces:
    """The pieces of split cells.

    Attributes:
        pieces: with the number of a template as ``fill``, -1 for bare ground that no cell has.
        painted: the page as painted, split cells with their pieces and their small glyphs.
        cells: which cells are split, shape (n,).
        open: those of which a piece might be of another class with the same ground, shape (n,).
    """

    pieces: tuple[Piece, ...]
    painted: Samples
    cells: Mask
    open: Mask


def find_pieces(
    flat: Flat,
    fills: Fills,
    templates: list[Template],
    labels: Labels,
    painted: Samples,
    settings: PieceSettings = PieceSettings(),
) -> Pieces:
    """Split those of the odd cells that two grounds explain.

    They are tried as they stand, then without the soft edges of glyphs, which may have the colour
    of another ground: together they keep what either is sure of.
    """
    odd = labels.off > flat.odd
    inks = _glyph_inks(flat, templates, settings)
    if not odd.any() or _is_one_ink(flat, fills.colours, templates, settings):
        none = np.zeros(len(odd), dtype=np.bool_)
        return Pieces((), painted, none, none)
    distinct = _distinct(flat, fills, settings)
    grounds = with_bare_ground(flat.patches, distinct, painted, settings.parts)
    here = np.asarray(flat.whole(np.broadcast_to(odd[:, None, None], flat.cells.shape[:3])))
    seen = np.where(here[..., None], flat.patches.pixels, painted)
    pieces, result = find_parts(
        replace(flat.patches, pixels=seen), grounds, painted, settings.parts
    )
    done = {(p.row, p.column) for p in pieces}
    alien, without = _without_glyphs(flat, seen, here.astype(np.bool_), grounds)
    more, other = find_parts(
        replace(flat.patches, pixels=without), grounds, painted, settings.parts
    )
    for piece in more:
        if (piece.row, piece.column) not in done:
            at = _place(flat, piece)
            result[at] = other[at]
    unknown = (result == alien).all(axis=-1)
    result[unknown] = flat.patches.pixels[unknown]
    pieces += tuple(p for p in more if (p.row, p.column) not in done)
    same = max(settings.same[0], settings.same[1] * flat.tolerance)
    off_lines = np.asarray(flat.by_cell(~(fills.rim_y[:, None] | fills.rim_x)), dtype=np.bool_)
    named = [replace(p, fill=int(grounds.classes[p.fill])) for p in pieces]
    numbered, open_ = told_by_glyphs(flat, templates, named, off_lines, same)
    split = np.zeros(flat.shape, dtype=np.bool_)
    for piece in numbered:
        split[piece.row, piece.column] = True
    rest = odd & ~split.ravel()
    shared = split_on_one_ground(flat, templates, labels.which, rest, off_lines, same)
    for piece in shared:
        result[_place(flat, piece)] = np.rint(fills.colours[piece.fill])
    numbered += shared
    for piece in numbered:
        split[piece.row, piece.column] = True
    _admit_glyphs(flat, result, numbered, inks)
    return Pieces(numbered, result, split.ravel(), open_)


def _is_one_ink(
    flat: Flat,
    grounds: NDArray[np.float64],
    templates: list[Template],
    settings: PieceSettings,
) -> bool:
    """Whether all grounds are paper but those of solid glyphs, in the ink of glyphs on paper.

    A glyph that is half black is no part stitch then.
    """
    paper = grounds[grounds.sum(axis=1).argmax()]
    bare = [np.abs(ground_of(flat, t.picture) - paper).max() <= settings.one for t in templates]
    on_paper = [t for t, is_bare in zip(templates, bare, strict=True) if is_bare]
    inks = _glyph_inks(flat, on_paper, settings)
    others = grounds[np.abs(grounds - paper).max(axis=1) > settings.one]
    if not len(inks):
        return False
    return bool((np.abs(others[:, None] - inks).max(axis=-1).min(axis=1) <= settings.ink).all())


def _place(flat: Flat, piece: Piece) -> tuple[slice, slice]:
    """Where the samples of a piece's cell are."""
    side = flat.side
    top, left = piece.row * side, piece.column * side
    return slice(top, top + side), slice(left, left + side)


def _distinct(flat: Flat, fills: Fills, settings: PieceSettings) -> Fills:
    """The fills, grounds of one colour taken for one: a piece is of the first class that has it."""
    apart = np.abs(fills.colours[:, None] - fills.colours).max(axis=-1)
    least, share = settings.same
    first = (apart <= max(least, share * flat.tolerance)).argmax(axis=1)
    kept, back = np.unique(first, return_inverse=True)
    return replace(
        fills, colours=fills.colours[kept], classes=kept, given=back, cells=back[fills.cells]
    )


def _without_glyphs(
    flat: Flat, seen: Samples, here: Mask, grounds: Fills
) -> tuple[NDArray[np.int16], Samples]:
    """A colour that no ground has, and the page with it wherever samples show no ground."""
    from scipy import ndimage

    nearest = np.full(seen.shape[:2], np.iinfo(np.int16).max, dtype=np.int16)
    for colour in np.rint(grounds.colours).astype(np.int16):
        nearest = np.minimum(nearest, difference(seen, colour))
    inked = (nearest > flat.tolerance) & here
    inked = ndimage.binary_dilation(inked) & here
    corners = np.array(list(product((0, 255), repeat=3)), dtype=np.int16)
    apart = np.abs(corners[:, None] - grounds.colours).max(axis=-1).min(axis=1)
    alien = corners[apart.argmax()]
    without = seen.copy()
    without[inked] = alien
    return alien, without


def _glyph_inks(
    flat: Flat, templates: list[Template], settings: PieceSettings
) -> NDArray[np.float64]:
    """The colours of the templates' glyphs, (n, 3): of each the one farthest from its ground."""
    inks = []
    for template in templates:
        inside = template.picture[flat.inner]
        apart = np.abs(inside - ground_of(flat, template.picture)).max(axis=1)
        if apart.max() > settings.ink:
            inks.append(np.median(inside[apart >= settings.core * apart.max()], axis=0))
    return np.array(inks, dtype=np.float64).reshape(-1, 3)


def _admit_glyphs(
    flat: Flat, painted: Samples, pieces: tuple[Piece, ...], inks: NDArray[np.float64]
) -> None:
    """Expect in split cells what is drawn there in the glyphs' inks, in place: small glyphs."""
    if not len(inks):
        return
    for piece in pieces:
        at = _place(flat, piece)
        seen, block = flat.patches.pixels[at], painted[at]
        differs = (difference(seen, block) > flat.tolerance) & flat.inner
        if differs.any():
            good = np.zeros_like(differs)
            good[differs] = blended(flat, block[differs], seen[differs], inks)
            block[good] = seen[good]
