"""How well one colour is read on another.

W3C, "Web Content Accessibility Guidelines (WCAG) 2.1" (2018), definitions of relative luminance and
contrast ratio.
"""

from __future__ import annotations

from chartscan.colour.srgb import srgb_to_linear

Rgb = tuple[int, int, int]

WHITE: Rgb = (255, 255, 255)
BLACK: Rgb = (0, 0, 0)
LUMINANCE = (0.2126, 0.7152, 0.0722)
FLARE = 0.05  # light that screen and paper add, as the contrast ratio counts it


def contrast(a: Rgb, b: Rgb) -> float:
    """Contrast ratio of two sRGB colours, 1 to 21, whichever is the lighter."""
    light, dark = sorted((_luminance(a), _luminance(b)), reverse=True)
    return (light + FLARE) / (dark + FLARE)


def black_or_white(ground: Rgb) -> Rgb:
    """Black or white, whichever is read better on ``ground``."""
    return BLACK if contrast(ground, BLACK) >= contrast(ground, WHITE) else WHITE


def _luminance(rgb: Rgb) -> float:
    """Relative luminance, 0 to 1."""
    return float(srgb_to_linear(rgb) @ LUMINANCE)
