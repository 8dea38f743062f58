"""Pixels to the bytes of picture files."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from PIL import Image

from tests.drawing.style import Pixels

Files = dict[str, bytes]


def picture(pixels: Pixels, kind: str = "PNG", **options: Any) -> bytes:  # noqa: ANN401 (Pillow's own options)
    """``pixels`` encoded by Pillow as file format ``kind``."""
    out = BytesIO()
    if kind == "PNG":
        options.setdefault("compress_level", 1)
    Image.fromarray(pixels).save(out, kind, **options)
    return out.getvalue()
