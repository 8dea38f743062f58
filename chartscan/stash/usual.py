"""What a skein holds where nobody told it."""

from __future__ import annotations

DEFAULT_PUTUP_MM = 8000  # a skein of stranded cotton; common practice, no source
DEFAULT_STRANDS = 6  # strands that stranded cotton divides into; common practice, no source

Rgb = tuple[int, int, int]  # sRGB, 0..255
