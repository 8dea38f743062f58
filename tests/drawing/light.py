"""What light, ink and sensors do to a page: functions on float32 pictures of 0..1, (h, w, 3)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

Rng = np.random.Generator
Light = NDArray[np.float32]


def to_light(pixels: NDArray[np.uint8]) -> Light:
    """8-bit pixels as 0..1."""
    return np.asarray(pixels, np.float32) / np.float32(255)


def to_pixels(light: Light) -> NDArray[np.uint8]:
    """0..1 as 8-bit pixels, rounded and clipped."""
    return np.asarray(np.clip(light * 255 + 0.5, 0, 255), np.uint8)


def places(shape: Sequence[int]) -> tuple[Light, Light]:
    """Row (h, 1) and column (1, w) from -1 to 1."""
    y = np.linspace(-1, 1, shape[0], dtype=np.float32)[:, None]
    x = np.linspace(-1, 1, shape[1], dtype=np.float32)[None, :]
    return y, x


def tint(light: Light, paper: Sequence[float], floor: float = 0.0) -> Light:
    """White becomes ``paper``; black is lifted to ``floor``."""
    white = np.asarray(paper, np.float32)
    return np.asarray(floor + light * (white - np.float32(floor)), np.float32)


def uneven(rng: Rng, light: Light, amount: float) -> Light:
    """Lighting that falls off by ``amount`` from one side to the other, with a soft hump."""
    y, x = places(light.shape)
    turn = rng.uniform(0, 2 * np.pi)
    slope = (x * np.cos(turn) + y * np.sin(turn)) / 2
    hump = np.exp(-((x - rng.uniform(-0.8, 0.8)) ** 2 + (y - rng.uniform(-0.8, 0.8)) ** 2) * 2)
    gain = 1 - np.float32(amount) * (0.5 + slope * 0.7 - 0.3 * hump)
    return np.asarray(light * np.minimum(gain, 1.06)[:, :, None], np.float32)


def vignette(light: Light, amount: float) -> Light:
    """Corners darker by ``amount``."""
    y, x = places(light.shape)
    gain = 1 - np.float32(amount) * ((x * x + y * y) / 2) ** 1.5
    return light * gain.astype(np.float32)[:, :, None]


def noise(rng: Rng, light: Light, luminance: float, chroma: float = 0.0) -> Light:
    """Gaussian noise, the same in all channels and different in each."""
    height, width = light.shape[:2]
    same = rng.standard_normal((height, width, 1), np.float32) * np.float32(luminance)
    out = light + same
    if chroma:
        small = rng.standard_normal(((height + 1) // 2, (width + 1) // 2, 3), np.float32)
        out += np.repeat(np.repeat(small, 2, 0), 2, 1)[:height, :width] * np.float32(chroma)
    return out


def blur(light: Light, sigma: float) -> Light:
    """Defocus, by a Gaussian of ``sigma`` pixels."""
    if sigma <= 0:
        return light
    return np.asarray(ndimage.gaussian_filter(light, (sigma, sigma, 0)), np.float32)


def smear(light: Light, length: int, upright: bool) -> Light:
    """Motion blur over ``length`` pixels."""
    return np.asarray(
        ndimage.uniform_filter1d(light, max(1, length), axis=0 if upright else 1), np.float32
    )


def halftone(light: Light, period: float, strength: float, turn: float = 15.0) -> Light:
    """Screens of dots in the three inks, each at its own angle; full and bare ink stay as they are.

    ``strength`` 1 is a hard screen, 0 none; ``period`` is in pixels.
    """
    height, width = light.shape[:2]
    y = np.arange(height, dtype=np.float32)[:, None]
    x = np.arange(width, dtype=np.float32)[None, :]
    out = np.empty_like(light)
    for channel, angle in enumerate((turn, turn + 60, turn + 30)):
        a = np.radians(angle)
        w = 2 * np.pi / period
        u = np.cos((x * np.cos(a) + y * np.sin(a)) * w, dtype=np.float32)
        v = np.cos((y * np.cos(a) - x * np.sin(a)) * w, dtype=np.float32)
        screen = (u + v) / 4
        value = light[:, :, channel]
        dots = np.clip((value - 0.5 + screen * 0.98) * 4 + 0.5, 0, 1)
        part = np.float32(strength) * (1 - np.abs(2 * value - 1) ** 3)
        out[:, :, channel] = value + part * (dots - value)
    return out


def specks(rng: Rng, light: Light, count: int, biggest: int = 2) -> Light:
    """Dust and hairs: small dark or light spots."""
    height, width = light.shape[:2]
    out = light.copy()
    for _ in range(count):
        side = int(rng.integers(1, biggest + 1))
        y, x = int(rng.integers(height)), int(rng.integers(width))
        out[y : y + side, x : x + side] = 0.08 if rng.random() < 0.7 else 0.98
    return out


def show_through(rng: Rng, light: Light, amount: float) -> Light:
    """The back of the sheet shining through: the page itself mirrored, soft and faint."""
    back = blur(np.ascontiguousarray(light[:, ::-1]), 2.0)
    back = np.roll(back, int(rng.integers(light.shape[0])), axis=0)
    return np.asarray(light * (1 - np.float32(amount) * (1 - back)), np.float32)


def crease(light: Light, at: float, wide: float, amount: float, upright: bool) -> Light:
    """The shadow along a fold or gutter at ``at`` pixels."""
    n = light.shape[1 if upright else 0]
    away = (np.arange(n, dtype=np.float32) - np.float32(at)) / np.float32(wide)
    gain = 1 - np.float32(amount) * np.exp(-np.abs(away))
    return np.asarray(light * (gain[None, :, None] if upright else gain[:, None, None]), np.float32)
