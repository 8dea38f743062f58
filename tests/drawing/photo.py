"""A page photographed in the hand: perspective, lens, light, sensor, the table round the paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from tests.drawing import light as L
from tests.drawing import warp as W
from tests.drawing.assets import photograph
from tests.drawing.render import Page

Rng = np.random.Generator


@dataclass(frozen=True)
class Photo:
    """What a phone does.

    Attributes:
        tilt: degrees off the page's normal, ``toward`` a direction; roll: turn of the phone.
        k1, k2: radial lens distortion. curl: waviness of the paper in pixels.
        cast: gain of red, green, blue. gamma: of the tone curve.
        light, vignette: falls of brightness. shadow: depth of a soft shadow over a part.
        noise, chroma: of the sensor. blur: sigma; smear: motion in pixels.
        quality: of the JPEG.
    """

    tilt: float = 0.0
    toward: float = 0.0
    roll: float = 0.0
    k1: float = 0.0
    k2: float = 0.0
    curl: float = 0.0
    cast: tuple[float, float, float] = (1.0, 1.0, 1.0)
    gamma: float = 1.0
    light: float = 0.0
    vignette: float = 0.0
    shadow: float = 0.0
    noise: float = 0.0
    chroma: float = 0.0
    blur: float = 0.0
    smear: int = 0
    quality: int = 85


def cast(rng: Rng, depth: float) -> tuple[float, float, float]:
    """A white-balance cast, warm or cool, of up to ``depth``."""
    warm, green = rng.uniform(-depth, depth), rng.uniform(-depth, depth) / 3
    return (float(0.95 + warm / 2), float(0.95 + green), float(0.95 - warm / 2))


def mild(rng: Rng) -> Photo:
    """Held nearly straight, good light."""
    return Photo(
        tilt=rng.uniform(0, 7),
        toward=rng.uniform(0, 360),
        roll=rng.uniform(-2, 2),
        k1=rng.uniform(-0.008, 0.008),
        cast=cast(rng, 0.06),
        light=rng.uniform(0, 0.1),
        vignette=rng.uniform(0, 0.1),
        noise=rng.uniform(0.003, 0.01),
        blur=rng.uniform(0.3, 0.6),
        quality=int(rng.integers(82, 93)),
    )


def medium(rng: Rng) -> Photo:
    """12° off, a lamp to one side, a cast, a soft lens."""
    return Photo(
        tilt=rng.uniform(5, 13),
        toward=rng.uniform(0, 360),
        roll=rng.uniform(-5, 5),
        k1=rng.uniform(-0.02, 0.02),
        curl=rng.uniform(0, 1.5),
        cast=cast(rng, 0.16),
        gamma=rng.uniform(0.9, 1.1),
        light=rng.uniform(0.1, 0.25),
        vignette=rng.uniform(0.05, 0.2),
        shadow=float(rng.choice([0.0, 0.15])),
        noise=rng.uniform(0.008, 0.02),
        chroma=rng.uniform(0, 0.01),
        blur=rng.uniform(0.4, 0.9),
        quality=int(rng.integers(65, 82)),
    )


def hard(rng: Rng) -> Photo:
    """20° off in the evening on the sofa."""
    return Photo(
        tilt=rng.uniform(12, 20),
        toward=rng.uniform(0, 360),
        roll=rng.uniform(-7, 7),
        k1=rng.uniform(-0.04, 0.04),
        k2=rng.uniform(-0.01, 0.01),
        curl=rng.uniform(1.0, 4.0),
        cast=cast(rng, 0.25),
        gamma=rng.uniform(0.8, 1.2),
        light=rng.uniform(0.2, 0.4),
        vignette=rng.uniform(0.1, 0.3),
        shadow=rng.uniform(0.1, 0.35),
        noise=rng.uniform(0.015, 0.035),
        chroma=rng.uniform(0.005, 0.025),
        blur=rng.uniform(0.5, 1.1),
        smear=int(rng.integers(0, 3)),
        quality=int(rng.integers(40, 60)),
    )


TEXTURES = ("gravel.png", "grass.png", "brick.png")


def table(rng: Rng, height: int, width: int) -> L.Light:
    """A ground of some colour under the paper: cloth, wood, speckle, gravel, grass or brick."""
    base = rng.uniform(0.12, 0.6, size=3).astype(np.float32)
    kind = int(rng.integers(6))
    if kind < 3:
        rough = rng.standard_normal((height // 2 + 1, width // 2 + 1)).astype(np.float32)
        rough = ndimage.gaussian_filter(rough, ((0.7, 0.7), (1.0, 25.0), (3.0, 3.0))[kind])
        rough *= np.float32(0.08) / (float(rough.std()) or 1.0)
        spread = np.repeat(np.repeat(rough, 2, 0), 2, 1)[:height, :width]
        return np.asarray(base + spread[:, :, None], np.float32)
    tile = np.asarray(photograph(TEXTURES[kind - 3]).convert("L"), np.float32) / 128
    tile = np.tile(tile, (height // tile.shape[0] + 1, width // tile.shape[1] + 1))
    return np.asarray(base * tile[:height, :width, None], np.float32)


def photographed(rng: Rng, page: Page, photo: Photo) -> Page:
    """The page as the phone's sensor gives it, before JPEG."""
    height, width = page.pixels.shape[:2]
    seen = W.tilted(page, photo.tilt, photo.toward, photo.roll)
    if photo.curl:
        seen = W.chain(W.wander(rng, (width, height), photo.curl, 0.5 * width), seen)
    seen = W.chain(seen, W.lens(photo.k1, photo.k2, seen.size))
    out = W.bend(page, seen)
    cover = W.covered(page, seen)[:, :, None]
    lit = L.to_light(out.pixels)
    ground = table(rng, *lit.shape[:2])
    near = ndimage.gaussian_filter(cover[::4, ::4, 0], 4)  # the sheet's soft shadow on the table
    shade = np.repeat(np.repeat(near, 4, 0), 4, 1)[: lit.shape[0], : lit.shape[1], None]
    lit = cover * lit * np.float32(0.97) + (1 - cover) * ground * (1 - np.float32(0.4) * shade)
    lit = _exposed(rng, lit, photo)
    return Page(L.to_pixels(lit), out.crossings)


def _exposed(rng: Rng, lit: L.Light, photo: Photo) -> L.Light:
    if photo.light:
        lit = L.uneven(rng, lit, photo.light)
    if photo.shadow:
        y, x = L.places(lit.shape)
        turn = rng.uniform(0, 2 * np.pi)
        side = x * np.cos(turn) + y * np.sin(turn) + rng.uniform(-0.4, 0.4)
        soft = 1 / (1 + np.exp(-side / 0.08))
        lit = lit * (1 - np.float32(photo.shadow) * soft.astype(np.float32))[:, :, None]
    lit = L.vignette(lit, photo.vignette)
    lit = lit * np.array(photo.cast, np.float32)
    if photo.gamma != 1.0:
        lit = np.clip(lit, 0, None) ** np.float32(photo.gamma)
    lit = L.blur(lit, photo.blur)
    if photo.smear > 1:
        lit = L.smear(lit, photo.smear, bool(rng.random() < 0.5))
    return L.noise(rng, lit, photo.noise, photo.chroma)
