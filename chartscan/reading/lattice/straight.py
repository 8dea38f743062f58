"""The lattice of a page whose grid lies straight: pitch and phase of each axis from edge profiles.

Every grid line, and every change of colour between two cells, is an edge that runs at least most
of a cell along its axis. Strokes of symbols and letters are shorter. So the profile of edge runs
across the page peaks where cells meet, and the pitch is the largest one on which they agree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.lattice.axis import PITCH_RATIO, Axis, evenly_spaced, phase
from chartscan.reading.lattice.drawn import fit_drawn, off_lines
from chartscan.reading.lattice.edges import Edges, opened
from chartscan.reading.scale import (
    BOLD,
    IN_BOLD,
    LEAST_CELLS,
    LEAST_IN_BOLD,
    LEAST_PITCH,
    NEAR,
    ROUGHLY_NEAR,
    SEVERAL,
)

SAME_PITCH = 0.02  # part by which pitches of one fit may differ
FEWEST = LEAST_CELLS - 1  # along a side: a small chart that fills its page has a pitch to be tried
NEAR_LARGEST = 0.7  # of the largest pitch, above which the best fit is taken
PITCHES = 6000  # tried, at even ratios: a step of a thousandth between 3 and 1,000 px
LONGEST = 0.95  # quantile of runs of edges that stands for the longest, but for strays
RIM = 0.2  # of a cell, left out at either end of its side

Profile = NDArray[np.float64]


@dataclass(frozen=True)
class StraightSettings:
    """Tolerances of the straight lattice.

    Attributes:
        rows_sampled: rows (and columns) of pixels looked at on a large page, at first and if that
            leaves doubt; few enough to stay cheap beside decoding.
        seen: sampled rows in each cell that leave no doubt.
        plain: agreement and evenness of lines that leave no doubt.
        agreement: share of all edges that must agree with the lattice, or half of that on one axis
            of a grid whose lines are drawn; and part of the most edges that any lattice explains
            which a larger pitch must reach.
        ruled: evenness from which on lines are taken for drawn ones, and part of them, upright and
            level, at which any cells differ; the rules of a diagram, farther apart one way than
            the other, reach 0.5.
        candidates: number of spectral peaks tried.
    """

    rows_sampled: tuple[int, ...] = (700, 1600)
    plain: float = 0.97
    seen: float = 5.0
    agreement: float = 0.8
    ruled: float = 0.8
    candidates: int = 16


# ------------------------------------------------------------------------------------- pitch


def fit_axes(
    across: Edges,
    down: Edges,
    settings: StraightSettings = StraightSettings(),
    most: float = math.inf,
) -> tuple[Axis, Axis] | None:
    """The x and y axis of the lattice that most edges agree on; None where there is none.

    Lines that are drawn are believed before all other edges. Only pitches up to ``most`` px are
    tried.
    """
    pitches = [pitch for pitch in pitch_candidates(across, down, settings) if pitch <= most]
    axes = fit_drawn(across, down, pitches) or _most_agreed(across, down, pitches, settings, most)
    return axes and (_within_bold(across, down, axes, settings) or axes)


def _within_bold(
    across: Edges, down: Edges, axes: tuple[Axis, Axis], settings: StraightSettings
) -> tuple[Axis, Axis] | None:
    """The cells between lines drawn at every tenth or fifth only, told by their colours."""
    for part in BOLD:
        guess = axes[0].pitch / part
        if guess < LEAST_IN_BOLD or off_lines(across, axes[0], guess) < IN_BOLD:
            continue
        x, y = fit_axis(across, guess), fit_axis(down, guess)
        if x and y and _believable(x, y, settings):
            pairs = ((across, x), (down, y))
            if all(_fills_between(edges, axis, part, settings) for edges, axis in pairs):
                return x, y
    return None


def _fills_between(edges: Edges, axis: Axis, part: int, settings: StraightSettings) -> bool:
    """Whether edges lie on all the lines between bold ones, and nowhere else."""
    if axis.agreement < settings.plain:
        return False
    cover = edges.cover(edges.sides(axis.pitch))
    where = np.flatnonzero(cover)
    index = np.round((where + 1 - axis.origin) / axis.pitch).astype(np.int64) % part
    sums = np.sort(np.bincount(index, weights=cover[where], minlength=part))[:-1]
    between = sums.sum() / cover.sum()
    return bool(between >= IN_BOLD and sums.min() > 0)


def _most_agreed(
    across: Edges, down: Edges, pitches: list[float], settings: StraightSettings, most: float
) -> tuple[Axis, Axis] | None:
    """The lattice that most edges agree on, whether lines are drawn or colours make the edges.

    Of several pitches that explain about as much, the largest is right: every fraction of the
    true pitch has its lines where the true lines are.
    """
    fits: list[tuple[float, Axis, Axis]] = []
    for pitch in pitches:
        if any(abs(pitch / f[1].pitch - 1) < SAME_PITCH for f in fits):
            continue
        if any(f[1].pitch > pitch and _ruled(f, settings) for f in fits):
            continue  # lines are drawn, and farther apart than these
        x = fit_axis(across, pitch)
        y = fit_axis(down, pitch) if x else None
        if x and y and _believable(x, y, settings):
            fits.append((x.coherent / across.size + y.coherent / down.size, x, y))
    if not fits:
        return None
    ruled = [f[1].pitch for f in fits if _ruled(f, settings)]
    best = max(f[0] for f in fits)
    largest = max(ruled or [f[1].pitch for f in fits if f[0] >= settings.agreement * best])
    found = max(
        (f for f in fits if NEAR_LARGEST * largest < f[1].pitch <= largest), key=lambda f: f[0]
    )
    return _widest(across, down, found[1:], settings, most)


def _widest(
    across: Edges,
    down: Edges,
    axes: tuple[Axis, Axis],
    settings: StraightSettings,
    most: float,
) -> tuple[Axis, Axis]:
    """The axes, or those of a multiple of their pitch that as good as all edges agree on too.

    A page of few cells repeats about as well at every fraction of its pitch.
    """
    longest = min(most, min(across.length, down.length) / FEWEST)
    for times in SEVERAL:
        x = fit_axis(across, times * axes[0].pitch)
        y = fit_axis(down, times * axes[1].pitch) if x else None
        if x and y and max(x.pitch, y.pitch) <= longest:
            alike = zip((x, y), axes, strict=True)
            if all(wide.coherent >= settings.plain * fine.coherent for wide, fine in alike):
                return _widest(across, down, (x, y), settings, most)
    return axes


def _ruled(fit: tuple[float, Axis, Axis], settings: StraightSettings) -> bool:
    """Whether the lines of both axes are all about as long: drawn ones."""
    return min(fit[1].even, fit[2].even) >= settings.ruled


def plain(x: Axis, y: Axis, stride: int, settings: StraightSettings) -> bool:
    """Whether lines are so clearly drawn that no more rows need be looked at."""
    if min(x.pitch, y.pitch) < settings.seen * stride:
        return False
    return (x.drawn and y.drawn) or min(x.agreement, y.agreement, x.even, y.even) >= settings.plain


def _believable(x: Axis, y: Axis, settings: StraightSettings) -> bool:
    """Whether two axes have about the same pitch and most edges agree with both."""
    alike = 1 / PITCH_RATIO < x.pitch / y.pitch < PITCH_RATIO
    least, mean = min(x.agreement, y.agreement), (x.agreement + y.agreement) / 2
    # Tall symbols add edges of their own to one axis; drawn lines are believed all the same.
    drawn = min(x.even, y.even) >= settings.ruled and least >= settings.agreement / 2
    return alike and (least >= settings.agreement or (drawn and mean >= settings.agreement))


def pitch_candidates(across: Edges, down: Edges, settings: StraightSettings) -> list[float]:
    """Pitches in px at which both edge profiles repeat, likeliest first."""
    longest = min(across.length, down.length) / FEWEST
    if longest <= LEAST_PITCH:
        return []
    pitches = np.geomspace(LEAST_PITCH, longest, PITCHES)
    reach = int(np.log(PITCH_RATIO) / np.log(pitches[1] / pitches[0]))
    profiles = [e.cover(opened(e.on, 2)) for e in (across, down)]
    found: dict[float, float] = {}
    for flatten in (lambda w: w, capped):
        x, y = (coherence(flatten(w), pitches) for w in profiles)
        joint = np.sqrt(x * _highest(y, reach))
        peaks = np.flatnonzero((joint[1:-1] >= joint[:-2]) & (joint[1:-1] > joint[2:])) + 1
        best = peaks[np.argsort(-joint[peaks])[: settings.candidates]]
        for k in best:
            found[float(pitches[k])] = max(found.get(float(pitches[k]), 0.0), float(joint[k]))
    distinct: list[float] = []
    for pitch in sorted(found, key=lambda pitch: -found[pitch]):
        if all(abs(pitch / other - 1) > SAME_PITCH for other in distinct):
            distinct.append(pitch)
    return distinct[: settings.candidates]


def _highest(values: Profile, reach: int) -> Profile:
    """The highest value within ``reach`` places of each."""
    padded = np.pad(values, reach, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1)
    return np.asarray(windows.max(axis=1), dtype=np.float64)


def coherence(profile: Profile, pitches: Profile) -> Profile:
    """How well a profile repeats at each pitch: |sum of w·exp(2πi·x/p)| / sum of w, 0 to 1."""
    total = profile.sum()
    if not total:
        return np.zeros_like(pitches)
    size = 4 * 2 ** int(np.ceil(np.log2(profile.size)))
    spectrum = np.abs(np.fft.rfft(profile, size)) / total
    repeats = np.interp(size / pitches, np.arange(spectrum.size), spectrum)
    return np.asarray(repeats, dtype=np.float64)


def capped(profile: Profile) -> Profile:
    """The profile with its peaks cut, so that a few long edges can't outweigh all others.

    Half of all edge length lies at positions that reach twice the cut.
    """
    ordered = np.sort(profile)
    total = np.cumsum(ordered)
    if not total.size or not total[-1]:
        return profile
    cut = ordered[np.searchsorted(total, total[-1] / 2)] / 2
    return np.asarray(np.minimum(profile, cut), dtype=np.float64)


def fit_axis(edges: Edges, guess: float) -> Axis | None:
    """The equally spaced lines near pitch ``guess`` (px) that most edges agree with."""
    cover = edges.cover(edges.sides(guess))
    where = np.flatnonzero(cover)
    if where.size < 3:
        return None
    weight, runs_there = capped(cover)[where], cover[where]
    position = where.astype(np.float64) + 1  # an edge lies between pixels x and x + 1
    span = max(float(np.ptp(position)), guess)
    pitch, origin = phase(position, weight, guess, PITCH_RATIO)
    for near in (ROUGHLY_NEAR, NEAR, NEAR):
        index = np.round((position - origin) / pitch)
        inside = np.abs(position - origin - index * pitch) <= max(near * pitch, 1.0)
        if np.unique(index[inside]).size < 3:
            return None
        pitch, origin = evenly_spaced(index[inside], position[inside], weight[inside])
    main = inside & _main_edges(np.round((position - origin) / pitch).astype(int), runs_there)
    main = main if np.unique(index[main]).size >= 3 else inside
    pitch, origin = evenly_spaced(index[main], position[main], weight[main])
    if abs(pitch - round(pitch)) * span / pitch < 0.5:  # most exports have whole pixels
        pitch = float(round(pitch))
        origin = float(np.average(position[main] - pitch * index[main], weights=weight[main]))
    index = np.round((position - origin) / pitch)
    inside = np.abs(position - origin - index * pitch) <= max(NEAR * pitch, 1.0)
    return Axis(
        origin,
        pitch,
        agreement=float(weight[inside].sum() / weight.sum()),
        coherent=float(np.abs(np.exp(2j * np.pi * (position - origin) / pitch) @ weight)),
        even=_evenness(index[inside].astype(int), runs_there[inside]),
    )


def _main_edges(index: NDArray[np.intp], cover: Profile) -> NDArray[np.bool_]:
    """The edges at least half as long as the longest near the same line: the line's own."""
    longest = np.zeros(np.ptp(index) + 1)
    np.maximum.at(longest, index - index.min(), cover)
    own: NDArray[np.bool_] = cover >= 0.5 * longest[index - index.min()]
    return own


def _evenness(index: NDArray[np.intp], cover: Profile) -> float:
    """How alike the lines are in length: the median one as a part of the longest, 0 to 1."""
    longest = np.zeros(np.ptp(index) + 1)
    np.maximum.at(longest, index - index.min(), cover)
    full = np.quantile(longest, LONGEST)
    if full <= 0:
        return 0.0
    long = np.flatnonzero(longest >= full / 2)
    return float(np.median(longest[long[0] : long[-1] + 1]) / full)


def side_cover(edges: Edges, along: Axis, across: Axis) -> NDArray[np.float64]:
    """How much of each cell side is an edge, shape (cells of ``across``, lines of ``along``)."""
    on = edges.unpacked(edges.sides(along.pitch))
    half = max(1, round(NEAR * along.pitch))
    lines = np.round(along.lines(edges.length)).astype(int) - 1
    hit = np.zeros((len(on), len(lines)), dtype=np.bool_)
    for near in lines + np.arange(-half, half + 1)[:, None]:
        hit |= on.take(near, axis=1, mode="clip") & (near >= 0) & (near < on.shape[1])
    # Two bytes do: beyond them the difference of two sums stays right.
    total = np.zeros((len(hit) + 1, hit.shape[1]), dtype=np.uint16)
    np.add.accumulate(hit, axis=0, out=total[1:], dtype=np.uint16)
    ends = across.lines(edges.across)
    # Sampled row i shows the pixels from stride // 2 + i * stride on.
    low = np.ceil((ends[:-1] + RIM * across.pitch - 0.5 - edges.stride // 2) / edges.stride)
    low = np.clip(low, 0, len(on) - 1).astype(int)
    high = np.floor((ends[1:] - RIM * across.pitch - 0.5 - edges.stride // 2) / edges.stride) + 1
    high = np.maximum(np.clip(high, 0, len(on)).astype(int), low + 1)
    cover = (total[high] - total[low]) / (high - low)[:, None]
    return np.asarray(cover, dtype=np.float64)
