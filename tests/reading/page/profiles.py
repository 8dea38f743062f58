"""ICC v2 profiles built by hand, as ICC.1:2001-04 lays them out (6.1, 6.3 and 6.5)."""

from __future__ import annotations

import struct

D50 = (0.9642, 1.0, 0.8249)  # ICC.1:2001-04, annex A: the illuminant of the connection space
RED, GREEN, BLUE = (0.4361, 0.2225, 0.0139), (0.3851, 0.7169, 0.0971), (0.1431, 0.0606, 0.7141)
"""The primaries of IEC 61966-2-1, adapted to D50."""
Xyz = tuple[float, float, float]


def rgb_profile(gamma: float, primaries: tuple[Xyz, Xyz, Xyz] = (RED, GREEN, BLUE)) -> bytes:
    """A profile of a screen with such primaries, each of whose curves is a power."""
    colours = {b"rXYZ": primaries[0], b"gXYZ": primaries[1], b"bXYZ": primaries[2]}
    tags = {name: _xyz(*place) for name, place in colours.items()}
    return _profile(b"RGB ", tags | dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), _curve(gamma)))


def grey_profile(gamma: float) -> bytes:
    """A profile of a grey picture whose curve is a power."""
    return _profile(b"GRAY", {b"kTRC": _curve(gamma)})


def _profile(space: bytes, tags: dict[bytes, bytes]) -> bytes:
    text = b"drawn"
    described = b"desc\0\0\0\0" + struct.pack(">I", len(text) + 1) + text + b"\0" + bytes(78)
    tags = {b"desc": described, b"cprt": b"text\0\0\0\0none\0", b"wtpt": _xyz(*D50)} | tags
    table, body, offset = b"", b"", 128 + 4 + 12 * len(tags)
    for name, data in tags.items():
        data += bytes(-len(data) % 4)
        table += name + struct.pack(">II", offset + len(body), len(data))
        body += data
    size = offset + len(body)
    head = struct.pack(">I4sI4s4s4s", size, b"none", 0x02100000, b"mntr", space, b"XYZ ")
    head += bytes(12) + b"acsp" + bytes(28) + b"".join(map(_s15, D50))
    return head.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


def _s15(value: float) -> bytes:
    return struct.pack(">i", round(value * 65536))


def _xyz(*values: float) -> bytes:
    return b"XYZ \0\0\0\0" + b"".join(map(_s15, values))


def _curve(gamma: float) -> bytes:
    """No entry is a straight line; one is an exponent in 256ths (6.5.3)."""
    if gamma == 1.0:
        return b"curv\0\0\0\0" + struct.pack(">I", 0)
    return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256))
