"""Colour management of a page: from the profile embedded in a picture to sRGB."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from PIL import Image, ImageCms

# ICC.1:2010, table 19: colour space signature of a profile -> the Pillow mode it takes.
MODES = {"RGB": "RGB", "GRAY": "L", "CMYK": "CMYK", "Lab": "LAB"}
PROBE_STEPS = 9  # levels per channel on which a profile is compared with sRGB
PROBE_TOLERANCE = 1  # level of 255; rounding of the profile's own tables


@dataclass(frozen=True)
class ToSrgb:
    """A ready conversion of pictures in Pillow ``mode`` to sRGB."""

    mode: str
    transform: ImageCms.ImageCmsTransform

    def apply(self, picture: Image.Image) -> Image.Image:
        """The picture in sRGB, mode RGB; one in another mode is brought to :attr:`mode` first."""
        from PIL import ImageCms

        if picture.mode != self.mode:
            picture = picture.convert(self.mode)
        converted = ImageCms.applyTransform(picture, self.transform)
        if converted is None:  # only for inPlace=True, which isn't asked for
            raise ValueError("the colour profile gave no picture")
        return converted


def to_srgb(picture: Image.Image, notes: list[str]) -> ToSrgb | None:
    """The conversion that ``picture`` needs; None where it is sRGB already or says nothing.

    A profile that can't be read, or belongs to another kind of picture, is left aside with a
    line in ``notes``.
    """
    embedded = picture.info.get("icc_profile")
    if not embedded:
        return None
    from PIL import ImageCms

    try:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(embedded))
        mode = MODES.get(profile.profile.xcolor_space.strip(), "")
        if not mode or (mode in ("CMYK", "LAB") and picture.mode != mode):
            notes.append("colour profile of another kind of picture; colours read as sRGB")
            return None
        if mode in ("RGB", "L") and picture.mode in ("CMYK", "LAB"):
            notes.append("colour profile of another kind of picture; colours read as sRGB")
            return None
        srgb = ImageCms.createProfile("sRGB")
        conversion = ToSrgb(mode, ImageCms.buildTransform(profile, srgb, mode, "RGB"))
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError) as error:
        reason = (str(error).strip() or type(error).__name__).splitlines()[0]
        notes.append(f"broken colour profile ({reason}); colours read as sRGB")
        return None
    return None if _changes_nothing(conversion) else conversion


def _changes_nothing(conversion: ToSrgb) -> bool:
    """Whether the profile is sRGB in all but name: converting twice would only cost time."""
    from PIL import Image

    if conversion.mode not in ("RGB", "L"):
        return False
    if conversion.mode == "L":
        greys = np.arange(256, dtype=np.uint8)
        probe = np.repeat(greys[None, :, None], 3, axis=2)
        picture = Image.fromarray(greys[None, :])
    else:
        levels = np.linspace(0, 255, PROBE_STEPS).round().astype(np.uint8)
        grid = np.meshgrid(levels, levels, levels, indexing="ij")
        probe = np.stack(grid, axis=-1).reshape(1, -1, 3)
        picture = Image.fromarray(probe)
    converted: NDArray[np.int16] = np.asarray(conversion.apply(picture)).astype(np.int16)
    return int(np.abs(converted - probe).max()) <= PROBE_TOLERANCE
