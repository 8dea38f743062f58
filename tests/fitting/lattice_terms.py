"""Fit the weights that lattices are judged by (``chartscan.reading.lattice.weights``).

python -m tests.fitting.lattice_terms DIR...

DIR holds charts drawn by ``python -m tests.drawing``. Of each page the true lattice is known; it is
held against others: at half, twice or another part of its pitch, a line more or less at its sides,
a part of it, and none at all. Charts of odd numbers are kept back, and told right or wrong.
"""

from __future__ import annotations

import json
import sys
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RBFInterpolator
from scipy.optimize import minimize

from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.fit import fit_projective
from chartscan.reading.lattice.model import FLAT, Lattice, project
from chartscan.reading.lattice.sight import reduction, sight_of
from chartscan.reading.lattice.verify import terms_of
from chartscan.reading.lattice.weights import TERMS, VerifySettings
from chartscan.reading.page.page import load_page
from chartscan.reading.page.smaller import luma_of

Floats = NDArray[np.float64]

RIDGE = 0.3  # of the squared weights of scaled terms, per page
ALIKE = (0.5, 1 / 3, 2.0, 3.0, 1.5, 2 / 3, 5.0)  # pitches held against the true one, as parts of it
PARTS = (*((part, part) for part in ALIKE), (2.0, 1.0), (1.0, 2.0))  # across and down
SELDOM = 0.02  # pages, of evidence that none showed
MOST_CELLS = 40_000  # of a lattice that is tried: finer ones only cost time


@dataclass(frozen=True)
class Tried:
    """The candidates of one page: their terms, one row each, and which of them is right."""

    name: str
    terms: Floats
    right: int
    what: tuple[str, ...]

    @property
    def group(self) -> str:
        """The kind of page."""
        return self.name.rpartition("-")[0]


def true_lattice(truth: dict[str, list[list[float]]], columns: int, rows: int) -> Lattice:
    """The lattice that the places of cells in ``truth`` lie on: a plane and what it leaves over."""
    centres = np.array([entry[:4] for entry in truth["centres"]], dtype=np.float64)
    grid, pixels = centres[:, 1::-1] + 0.5, centres[:, 2:]
    plane = fit_projective(grid, pixels, np.ones_like(pixels), affine=False)
    rest = RBFInterpolator(grid, pixels - project(plane, grid), neighbors=24, smoothing=0.5)
    nx, ny = (max(2, n // 3 + 1) for n in (columns, rows))
    u, v = np.meshgrid(np.linspace(0, columns, nx), np.linspace(0, rows, ny))
    residual = rest(np.stack([u.ravel(), v.ravel()], axis=1)).reshape(ny, nx, 2)
    return Lattice(columns, rows, plane, residual, drawn=True)


def stretched(
    lattice: Lattice, times: tuple[float, float], phase: tuple[float, float] = (0, 0)
) -> Lattice:
    """The same page in cells ``times`` as wide and as high, begun ``phase`` cells later."""
    moved = np.array([[times[0], 0, phase[0]], [0, times[1], phase[1]], [0, 0, 1.0]])
    size = zip((lattice.columns, lattice.rows), times, strict=True)
    columns, rows = (max(3, int(n / part)) for n, part in size)
    homography = lattice.homography @ moved
    flat = replace(lattice, columns=columns, rows=rows, homography=homography, residual=FLAT)
    if not lattice.residual.size:
        return flat
    u, v = np.linspace(0, columns, 12), np.linspace(0, rows, 12)
    nodes = np.stack(np.meshgrid(u, v), axis=-1)
    seen = lattice.to_pixels(nodes * times + phase)
    return replace(flat, residual=seen - flat.to_pixels(nodes))


def perturbed(lattice: Lattice, rng: np.random.Generator) -> Iterator[tuple[str, Extent]]:
    """The whole lattice, then rectangles that end elsewhere or are a part of it."""
    columns, rows = lattice.columns, lattice.rows
    yield "whole", Extent(0, columns, 0, rows)
    for side in range(4):
        for step in (-3, -2, -1, 1, 2, 3):
            ends = [0, columns, 0, rows]
            ends[side] += step
            yield f"{step:+d}", Extent(*ends)
    for _ in range(8):
        yield "ends", Extent(*(np.array([0, columns, 0, rows]) + rng.integers(-2, 3, 4)).tolist())
    for left, top in ((0, 0), (columns // 2, 0), (0, rows // 2), (columns // 3, rows // 3)):
        wide, high = max(5, columns // 2), max(5, rows // 2)
        yield "part", Extent(left, left + wide, top, top + high)


def candidates(
    grey: NDArray[np.uint8], lattice: Lattice, settings: VerifySettings, seed: int
) -> Iterator[tuple[str, Floats]]:
    """What is held against what, and its terms; the true lattice first."""
    rng = np.random.default_rng(seed)
    sight = sight_of(grey, lattice, settings)
    true = Extent(0, lattice.columns, 0, lattice.rows)
    seen = set()
    for what, extent in perturbed(lattice, rng):
        if extent not in seen and min(extent.columns, extent.rows) >= 4:
            seen.add(extent)
            yield what if extent != true else "true", terms_of(sight, extent)
    for part in PARTS:
        phases = [(0.0, 0.0)] if max(part) < 1 else [(0.0, 0.0), (1.0, 1.0)]
        for phase in [*phases, (0.5 * part[0], 0.5 * part[1])]:
            other = stretched(lattice, part, phase)
            if other.columns * other.rows > MOST_CELLS or min(other.columns, other.rows) < 4:
                continue
            sight = sight_of(grey, other, settings)
            for k, (_, extent) in enumerate(perturbed(other, rng)):
                if k % 5 == 0 and min(extent.columns, extent.rows) >= 4:
                    yield f"×{part[0]:.2f}, {part[1]:.2f}", terms_of(sight, extent)
    for _ in range(4):  # anywhere, at any pitch
        pitch = min(lattice.pitch) * np.exp(rng.uniform(-0.7, 1.2))
        cells = rng.integers(5, 14, 2)
        place = rng.uniform(0, 1, 2) * np.maximum(1, np.array(grey.shape[::-1]) - cells * pitch)
        turn = np.radians(rng.uniform(-6, 6))
        c, s = pitch * np.cos(turn), pitch * np.sin(turn)
        anywhere = np.array([[c, -s, place[0]], [s, c, place[1]], [0, 0, 1.0]])
        other = Lattice(int(cells[0]), int(cells[1]), anywhere, FLAT, drawn=True)
        sight = sight_of(grey, other, settings)
        yield "anywhere", terms_of(sight, Extent(0, other.columns, 0, other.rows))


def empty(
    shape: tuple[int, ...], settings: VerifySettings, seed: int
) -> Iterator[tuple[str, Floats]]:
    """Lattices all over a page of bare or speckled paper of that shape, and their terms."""
    rng = np.random.default_rng(seed)
    for scatter in (0.0, 1.0, 4.0, 70.0):
        noise = rng.normal(0, scatter, shape)
        grey = np.clip(235 + noise, 0, 255).astype(np.uint8)
        for pitch in settings.pitch * np.exp(rng.uniform(-0.7, 1.2, 3)):
            height, width = (max(4, int(n * rng.uniform(0.5, 0.95) / pitch)) for n in shape)
            place = rng.uniform(0, 1, 2) * (
                np.array(shape[::-1]) - np.array([width, height]) * pitch
            )
            map_ = np.array([[pitch, 0, place[0]], [0, pitch, place[1]], [0, 0, 1.0]])
            sight = sight_of(grey, Lattice(width, height, map_, FLAT, drawn=True), settings)
            yield "anywhere", terms_of(sight, Extent(0, width, 0, height))


def seen_small(folder: Path, settings: VerifySettings) -> tuple[NDArray[np.uint8], Lattice]:
    """A drawn page made as small as lattices are judged on, and its true lattice there."""
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    page = load_page(folder / truth["image"])
    lattice = true_lattice(truth, truth["columns"], truth["rows"])
    factor = reduction(lattice, settings)
    return luma_of(page.pixels, factor), lattice.scaled(1 / factor)


def fitted_odds(folders: Sequence[Path], settings: VerifySettings) -> tuple[float, ...]:
    """Log-odds of each interval of evidence: sides of true lattices against those of wrong ones."""
    numbered = replace(settings, odds=tuple(map(float, range(len(settings.edges) + 1))))
    count = np.full((2, len(settings.edges) + 1), SELDOM)
    for folder in folders:
        grey, lattice = seen_small(folder, settings)
        wrong = stretched(lattice, (1.37, 1.37), (0.31, 0.43))
        for kind, each in enumerate((wrong, lattice)):
            sight = sight_of(grey, each, numbered)
            around = sight.around
            for way in (sight.upright, sight.level):
                own = way.sides[around:-around, around:-around].ravel()
                found = np.bincount(own[own >= 0].astype(np.intp), minlength=count.shape[1])
                count[kind] += found / found.sum()  # a page a vote
    part = count / count.sum(axis=1, keepdims=True)
    return tuple(np.log(part[1] / part[0]).round(2).tolist())


def fit(pages: Sequence[Tried]) -> tuple[Floats, Floats, Floats, float]:
    """Weights of scaled terms, their means and spreads, and the bias; none at all scores nought."""
    every = np.concatenate([page.terms for page in pages])
    middle, spread = every.mean(axis=0), every.std(axis=0) + 1e-9

    def loss(x: Floats) -> tuple[float, Floats]:
        total, slope = 0.0, np.zeros_like(x)
        for page in pages:
            scaled = np.column_stack([(page.terms - middle) / spread, np.ones(len(page.terms))])
            scores = np.append(scaled @ x, 0.0)
            part = np.exp(scores - scores.max())
            part /= part.sum()
            total -= np.log(part[page.right] + 1e-300)
            slope += part[:-1] @ scaled
            if page.right < len(scaled):
                slope -= scaled[page.right]
        ridge = RIDGE * np.append(np.ones(len(x) - 1), 0.0)
        return total + float((ridge * x**2).sum()), slope + 2 * ridge * x

    found = minimize(loss, np.zeros(len(TERMS) + 1), jac=True, method="L-BFGS-B")
    return found.x[:-1], middle, spread, float(found.x[-1])


def main(arguments: Sequence[str]) -> int:
    """Fit on even charts, tell how the odd ones fare, print the settings of all together."""
    folders = sorted(path.parent for name in arguments for path in Path(name).glob("*/truth.json"))
    settings = VerifySettings()
    settings = replace(settings, odds=fitted_odds(folders, settings))
    pages = []
    for folder in folders:
        number = int(folder.name.rpartition("-")[2])
        grey, lattice = seen_small(folder, settings)
        tried = list(candidates(grey, lattice, settings, number))
        what, terms = zip(*tried, strict=True)
        pages.append(Tried(folder.name, np.array(terms), 0, what))
        # The same page without its grid: of what is left none is right.
        other = [k for k, name in enumerate(what) if name == "anywhere"]
        pages.append(Tried(f"none-{number}", np.array(terms)[other], len(other), ("",)))
        bare = np.array([each for _, each in empty(grey.shape, settings, number)])
        pages.append(Tried(f"none-{number}", bare, len(bare), ("",)))
    even, odd = ([p for p in pages if int(p.name[-1]) % 2 == k] for k in (0, 1))
    weights, middle, spread, bias = fit(even)
    told: dict[str, list[bool]] = defaultdict(list)
    for page in odd:
        scores = np.append((page.terms - middle) / spread @ weights + bias, 0.0)
        told[page.group].append(bool(scores.argmax() == page.right))
        if scores.argmax() != page.right and page.right == 0:
            best = int(scores.argmax())
            name = page.what[best] if best < len(page.what) else "none"
            sys.stdout.write(f"{page.name}: {name} by {scores[best] - scores[0]:.1f}\n")
    for group, right in told.items():
        sys.stdout.write(f"{group}: {sum(right)} of {len(right)}\n")
    weights, middle, spread, bias = fit(pages)
    for name, values in (
        ("odds", settings.odds),
        ("weights", weights),
        ("middles", middle),
        ("spreads", spread),
    ):
        sys.stdout.write(f"{name} = {tuple(np.round(values, 3).tolist())}\n")
    sys.stdout.write(f"bias = {bias:.2f}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
