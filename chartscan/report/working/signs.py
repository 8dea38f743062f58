"""Our own signs for classes: plain shapes, drawn as filled outlines in a square of 100 × 100.

They are told apart at the size of a cell in print, also in black and white; the shapes are
geometry's own and mean nothing by themselves.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from chartscan.errors import ChartError

Point = tuple[float, float]


def polygon(points: Iterable[Point]) -> str:
    """A closed outline through ``points``, as SVG path data."""
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points) + "Z"


def disc(radius: float, x: float = 50, y: float = 50) -> str:
    """A circle as SVG path data."""
    return (
        f"M{x - radius:g} {y:g}a{radius:g} {radius:g} 0 1 0 {2 * radius:g} 0"
        f"a{radius:g} {radius:g} 0 1 0 {-2 * radius:g} 0Z"
    )


def box(left: float, top: float, right: float, bottom: float) -> str:
    """An upright rectangle as SVG path data."""
    return polygon([(left, top), (right, top), (right, bottom), (left, bottom)])


def regular(corners: int, radius: float, turn: float = 0.0, inner: float = 1.0) -> str:
    """A regular polygon, or a star where ``inner`` (of the radius) is under 1."""
    steps = corners if inner == 1 else 2 * corners
    radii = [radius if inner == 1 or i % 2 == 0 else radius * inner for i in range(steps)]
    angles = [math.radians(turn - 90 + 360 * i / steps) for i in range(steps)]
    return polygon(
        (round(50 + r * math.cos(a), 2), round(50 + r * math.sin(a), 2))
        for r, a in zip(radii, angles, strict=True)
    )


def bar(start: Point, end: Point, width: float) -> str:
    """A straight stroke as an outline."""
    (x, y), (u, v) = start, end
    long = math.dist(start, end)
    across, down = (v - y) / long * width / 2, -(u - x) / long * width / 2
    corners = ((x + across, y + down), (u + across, v + down), (u - across, v - down))
    return polygon([*corners, (x - across, y - down)])


def _spun(points: Sequence[Point], degrees: float) -> list[Point]:
    """Points turned around the middle."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    away = [(x - 50, y - 50) for x, y in points]
    return [(round(50 + x * cos - y * sin, 2), round(50 + x * sin + y * cos, 2)) for x, y in away]


def _turned(points: Sequence[Point], quarters: int) -> str:
    """A polygon turned by quarters of a circle around the middle."""
    for _ in range(quarters):
        points = [(100 - y, x) for x, y in points]
    return polygon(points)


PLUS = (
    (39, 10),
    (61, 10),
    (61, 39),
    (90, 39),
    (90, 61),
    (61, 61),
    (61, 90),
    (39, 90),
    (39, 61),
    (10, 61),
    (10, 39),
    (39, 39),
)
ZIGZAG = (
    (8, 58),
    (36, 20),
    (64, 52),
    (84, 24),
    (94, 36),
    (64, 80),
    (36, 48),
    (18, 72),
)
WEDGE = ((50, 14), (88, 82), (12, 82))
ARROW = ((50, 10), (86, 48), (62, 48), (62, 90), (38, 90), (38, 48), (14, 48))
ANGLE = ((12, 62), (50, 22), (88, 62), (88, 86), (50, 46), (12, 86))
ELL = ((18, 14), (40, 14), (40, 64), (84, 64), (84, 86), (18, 86))
TEE = ((14, 16), (86, 16), (86, 38), (61, 38), (61, 86), (39, 86), (39, 38), (14, 38))
CORNER = ((8, 8), (92, 8), (8, 92))
CUP = ((14, 14), (36, 14), (36, 62), (64, 62), (64, 14), (86, 14), (86, 86), (14, 86))


def _plain_signs() -> list[str]:
    """Every sign, the plainest first; outlines inside outlines are holes (even-odd)."""
    ring = disc(38) + disc(24)
    frame = box(14, 14, 86, 86) + box(29, 29, 71, 71)
    lozenge = regular(4, 46)
    hollow = lozenge + regular(4, 30)
    return [
        disc(36),
        polygon(_spun(PLUS, 45)),
        _turned(WEDGE, 0),
        frame,
        polygon(PLUS),
        lozenge,
        ring,
        box(18, 18, 82, 82),
        regular(5, 46, inner=0.4),
        _turned(WEDGE, 2),
        hollow,
        bar((20, 80), (80, 20), 24),
        box(12, 38, 88, 62),
        _turned(ANGLE, 0),
        ring + disc(13),
        box(38, 12, 62, 88),
        _turned(WEDGE, 1),
        _turned(TEE, 0),
        bar((20, 20), (80, 80), 24),
        frame + box(38, 38, 62, 62),
        _turned(ARROW, 0),
        box(12, 14, 88, 30) + box(12, 42, 88, 58) + box(12, 70, 88, 86),
        _turned(WEDGE, 3),
        _turned(ELL, 0),
        polygon([(14, 14), (86, 14), (14, 86), (86, 86)]),
        _turned(ANGLE, 2),
        box(14, 12, 30, 88) + box(42, 12, 58, 88) + box(70, 12, 86, 88),
        _turned(CORNER, 0),
        hollow + disc(13),
        disc(15, 28, 28) + disc(15, 72, 72),
        _turned(ARROW, 2),
        polygon([(14, 14), (86, 86), (86, 14), (14, 86)]),
        _turned(CUP, 0),
        _turned(TEE, 2),
        "M50 12A38 38 0 0 1 50 88Z" + disc(38) + disc(31),
        _turned(CORNER, 2),
        disc(15, 72, 28) + disc(15, 28, 72),
        _turned(ELL, 2),
        _turned(ANGLE, 1),
        regular(4, 46, inner=0.36),
        box(14, 14, 46, 46) + box(54, 54, 86, 86),
        _turned(ARROW, 1),
        _turned(CUP, 2),
        "M12 50A38 38 0 0 1 88 50Z" + disc(38) + disc(31),
        _turned(WEDGE, 0) + polygon([(50, 42), (66, 71), (34, 71)]),
        box(10, 24, 90, 40) + box(10, 60, 90, 76),
        _turned(CORNER, 1),
        disc(14, 28, 28) + disc(14, 72, 28) + disc(14, 28, 72) + disc(14, 72, 72),
        _turned(ANGLE, 3),
        regular(6, 46, inner=0.45),
        _turned(TEE, 1),
        box(24, 10, 40, 90) + box(60, 10, 76, 90),
        _turned(ELL, 1),
        "M62 14A38 38 0 1 0 62 86A46 46 0 0 1 62 14Z",
        _turned(ARROW, 3),
        box(54, 14, 86, 46) + box(14, 54, 46, 86),
        _turned(CORNER, 3),
        _turned(WEDGE, 2) + polygon([(50, 58), (66, 29), (34, 29)]),
        _turned(TEE, 3),
        disc(13, 50, 24) + disc(13, 24, 74) + disc(13, 76, 74),
        _turned(CUP, 1),
        box(14, 12, 34, 88) + box(66, 12, 86, 88) + box(34, 40, 66, 60),
        _turned(ELL, 3),
        disc(20),
        _turned(CUP, 3),
        frame + box(28, 28, 50, 72),
        frame + box(28, 28, 72, 50),
        polygon(_spun(PLUS, 45)) + disc(11),
        bar((12, 54), (54, 12), 18) + bar((46, 88), (88, 46), 18),
        frame + box(50, 28, 72, 72),
        frame + box(28, 50, 72, 72),
        polygon(ZIGZAG),
        bar((46, 12), (88, 54), 18) + bar((12, 46), (54, 88), 18),
        _turned(ZIGZAG, 1),
        box(12, 12, 40, 40) + box(60, 12, 88, 40) + box(36, 60, 64, 88),
        polygon(PLUS) + disc(11),
        lozenge + box(44, 4, 56, 96),
    ]


def signs(count: int) -> list[str]:
    """``count`` signs as SVG path data; after the plain ones the same as holes in a square.

    Raises:
        ChartError: there aren't as many.
    """
    plain = _plain_signs()
    known = plain + [box(0, 0, 100, 100) + sign for sign in plain]
    if count > len(known):
        raise ChartError(
            f"the chart has {count} classes, and there are signs for {len(known)} of our own; "
            "join classes that are one, or draw it with the page's symbols"
        )
    return known[:count]
