"""A page on a flatbed scanner."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.drawing import light as L
from tests.drawing import warp as W
from tests.drawing.render import Page

Rng = np.random.Generator


@dataclass(frozen=True)
class Scan:
    """What a scanner and forty years do; see :func:`scanned` for how each is used.

    Attributes:
        skew: degrees. lid: grey level round the sheet. paper: tint of white. floor: level of black.
        light: share by which light falls off. noise: standard deviation, of 0..1.
        chroma: the same for colour noise. blur: sigma in pixels. halftone: strength 0..1.
        period: dots' spacing in pixels. screened_paper: whether the tint itself is made of dots.
        dust: number of specks. show: show-through.
        gutter: dip in pixels of a fold, with shadow ``shade``, at ``place`` of the width or height.
        upright: whether that fold runs from top to bottom. wander: waviness of the paper in pixels.
        quality: of the JPEG.
    """

    skew: float = 0.0
    lid: float = 0.1
    paper: tuple[float, float, float] = (1.0, 1.0, 1.0)
    floor: float = 0.0
    light: float = 0.0
    noise: float = 0.0
    chroma: float = 0.0
    blur: float = 0.0
    halftone: float = 0.0
    period: float = 4.0
    screened_paper: bool = False
    dust: int = 0
    show: float = 0.0
    gutter: float = 0.0
    shade: float = 0.0
    place: float = 0.5
    upright: bool = True
    wander: float = 0.0
    quality: int = 85


def paper_tint(rng: Rng, depth: float) -> tuple[float, float, float]:
    """Paper gone yellow, grey or cool by up to ``depth``."""
    low = 1 - depth * rng.random()
    warm = depth * rng.uniform(-0.3, 0.8)
    return (float(min(1, low + warm / 3)), float(low), float(max(0.5, low - warm)))


def mild(rng: Rng) -> Scan:
    """A good scan: ±2°, light noise, quality 85."""
    return Scan(
        skew=rng.uniform(-2, 2),
        lid=float(rng.choice([0.1, 0.9, 0.97])),
        paper=paper_tint(rng, 0.06),
        floor=rng.uniform(0, 0.08),
        light=rng.uniform(0, 0.06),
        noise=rng.uniform(0.003, 0.012),
        blur=rng.uniform(0, 0.6),
        quality=int(rng.integers(80, 92)),
    )


def medium(rng: Rng) -> Scan:
    """±5°, tinted paper, uneven light, quality 60, perhaps a screen, dust, a shallow gutter."""
    return Scan(
        skew=rng.uniform(-5, 5),
        lid=float(rng.choice([0.08, 0.2, 0.95])),
        paper=paper_tint(rng, 0.14),
        floor=rng.uniform(0.03, 0.15),
        light=rng.uniform(0.05, 0.2),
        noise=rng.uniform(0.01, 0.025),
        chroma=rng.uniform(0, 0.01),
        blur=rng.uniform(0.4, 0.8),
        halftone=float(rng.choice([0.0, 0.15, 0.35])),
        period=rng.uniform(2.6, 4.5),
        screened_paper=bool(rng.random() < 0.5),
        dust=int(rng.integers(0, 80)),
        show=float(rng.choice([0.0, 0.04])),
        gutter=float(rng.choice([0.0, 2.0])),
        shade=rng.uniform(0.1, 0.3),
        place=rng.uniform(0.2, 0.8),
        upright=bool(rng.random() < 0.6),
        quality=int(rng.integers(55, 70)),
    )


def hard(rng: Rng) -> Scan:
    """A screened page with a fold, ±7°, quality 35."""
    base = medium(rng)
    return replace(
        base,
        skew=rng.uniform(-7, 7),
        light=rng.uniform(0.15, 0.35),
        noise=rng.uniform(0.015, 0.035),
        chroma=rng.uniform(0, 0.02),
        blur=rng.uniform(0.5, 0.9),
        halftone=rng.uniform(0.25, 0.7),
        dust=int(rng.integers(20, 200)),
        show=rng.uniform(0, 0.08),
        gutter=rng.uniform(2, 6),
        shade=rng.uniform(0.2, 0.45),
        wander=rng.uniform(0, 2.0),
        quality=int(rng.integers(30, 42)),
    )


def scanned(rng: Rng, page: Page, scan: Scan) -> Page:
    """The page as the scanner gives it, before JPEG."""
    height, width = page.pixels.shape[:2]
    flat = L.to_light(page.pixels)
    if scan.show:
        flat = L.show_through(rng, flat, scan.show)
    turn = rng.uniform(0, 90)
    if scan.halftone and not scan.screened_paper:
        flat = L.halftone(flat, scan.period, scan.halftone, turn)
    flat = L.tint(flat, scan.paper, scan.floor)
    if scan.halftone and scan.screened_paper:
        flat = L.halftone(flat, scan.period, scan.halftone, turn)
    at = scan.place * (width if scan.upright else height)
    bent = W.turned(page, scan.skew)
    if scan.gutter:
        wide = 0.05 * (width + height)
        dip = W.fold(at, scan.gutter, wide, (width, height), scan.upright)
        bent = W.chain(dip, bent)
        flat = L.crease(flat, at, wide / 3, scan.shade, scan.upright)
    if scan.wander:
        wavy = W.wander(rng, (width, height), scan.wander, 0.35 * width)
        bent = W.chain(wavy, bent)
    lid = int(scan.lid * 255)
    out = W.bend(Page(L.to_pixels(flat), page.crossings), bent, (lid, lid, lid))
    lit = (
        L.uneven(rng, L.to_light(out.pixels), scan.light) if scan.light else L.to_light(out.pixels)
    )
    lit = L.blur(lit, scan.blur)
    lit = L.specks(rng, lit, scan.dust) if scan.dust else lit
    lit = L.noise(rng, lit, scan.noise, scan.chroma)
    return Page(L.to_pixels(lit), out.crossings)
