"""The profile embedded in a picture: applied where it says something, told where it can't be."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageCms

from chartscan.reading.page.icc import MODES, to_srgb
from tests.reading.page.profiles import BLUE, GREEN, RED, grey_profile, rgb_profile

Levels = NDArray[np.uint8]
RAMP: Levels = np.arange(256, dtype=np.uint8)


def carrying(picture: Image.Image, profile: bytes) -> Image.Image:
    picture.info["icc_profile"] = profile
    return picture


def ramp(profile: bytes) -> Image.Image:
    """Every grey once, in three channels."""
    return carrying(Image.fromarray(np.repeat(RAMP[None, :, None], 3, axis=2)), profile)


def srgb_of(light: NDArray[np.float64]) -> NDArray[np.float64]:
    """IEC 61966-2-1, 4.3: linear light, 0 to 1, as levels of 255."""
    low, high = 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055
    return np.asarray(255 * np.where(light <= 0.0031308, low, high))


def srgb_profile() -> bytes:
    return bytes(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())


def converted(picture: Image.Image) -> NDArray[np.int64]:
    """The picture in sRGB, one row; the conversion is there and nothing is told."""
    notes: list[str] = []
    conversion = to_srgb(picture, notes)
    assert conversion is not None
    assert notes == []
    done = conversion.apply(picture)
    assert done.mode == "RGB"
    row: NDArray[np.int64] = np.asarray(done).astype(np.int64)[0]
    return row


@pytest.mark.parametrize("gamma", [1.0, 1.8, 2.6])
def test_a_power_curve_comes_out_as_the_standard_says(gamma: float) -> None:
    expected = srgb_of((RAMP / 255) ** gamma)
    found = converted(ramp(rgb_profile(gamma)))
    assert np.abs(found - expected[:, None]).max() <= 1
    assert np.abs(found - RAMP[:, None]).max() > 10  # else there was nothing to convert


@pytest.mark.parametrize("gamma", [1.8, 2.6])
def test_a_grey_picture_has_a_grey_profile(gamma: float) -> None:
    """Two levels: the library draws up a table for greys, which is coarse in the dark."""
    found = converted(carrying(Image.fromarray(RAMP[None]), grey_profile(gamma)))
    assert np.abs(found - srgb_of((RAMP / 255) ** gamma)[:, None]).max() <= 2


def test_primaries_that_change_places_change_the_channels() -> None:
    picture = Image.new("RGB", (1, 1), (255, 0, 0))
    (found,) = converted(carrying(picture, rgb_profile(2.2, (BLUE, GREEN, RED))))
    assert np.abs(found - (0, 0, 255)).max() <= 2


def test_greys_of_a_lab_picture_have_the_light_that_their_lightness_says() -> None:
    """ISO/CIE 11664-4: Y is ((L* + 16) / 116)³; a* and b* have a sign (TIFF 6.0, section 23)."""
    lightness = np.arange(30, 256, 5, dtype=np.uint8)
    lab = np.zeros((1, len(lightness), 3), np.uint8)
    lab[0, :, 0] = lightness
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    found = converted(carrying(Image.frombytes("LAB", (len(lightness), 1), lab.tobytes()), profile))
    light = ((lightness / 255 * 100 + 16) / 116) ** 3
    assert np.abs(found - srgb_of(light)[:, None]).max() <= 2


def test_a_picture_in_another_mode_is_brought_to_that_of_its_profile() -> None:
    grey = carrying(Image.fromarray(RAMP[None]), rgb_profile(1.0))
    assert (converted(grey) == converted(ramp(rgb_profile(1.0)))).all()
    palette = Image.fromarray(RAMP[None]).convert("P")
    assert (converted(carrying(palette, rgb_profile(1.0))) == converted(grey)).all()


def test_without_a_profile_or_with_that_of_srgb_there_is_nothing_to_do() -> None:
    notes: list[str] = []
    plain = Image.new("RGB", (2, 2))
    assert to_srgb(plain, notes) is None
    assert to_srgb(carrying(plain, b""), notes) is None
    assert to_srgb(carrying(plain, srgb_profile()), notes) is None
    assert notes == []


def test_a_curve_near_that_of_srgb_is_followed() -> None:
    """A power of 2.2 lies up to 8.5 levels off the curve of sRGB, all of them in the dark."""
    near = srgb_of((RAMP / 255) ** 2.2)
    assert np.abs(near - RAMP)[:60].max() == pytest.approx(8.5, abs=0.1)
    assert np.abs(near - RAMP)[120:].max() < 1.5
    assert np.abs(converted(ramp(rgb_profile(2.2))) - near[:, None]).max() <= 1


@pytest.mark.parametrize(
    ("mode", "profile"),
    [
        ("CMYK", rgb_profile(1.0)),
        ("LAB", rgb_profile(1.0)),
        ("CMYK", grey_profile(1.0)),
        ("RGB", ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()),
        ("RGB", ImageCms.ImageCmsProfile(ImageCms.createProfile("XYZ")).tobytes()),
    ],
)
def test_a_profile_of_another_kind_of_picture_is_told_and_left(mode: str, profile: bytes) -> None:
    notes: list[str] = []
    assert to_srgb(carrying(Image.new(mode, (2, 2)), profile), notes) is None
    assert len(notes) == 1
    assert "another kind" in notes[0]


@pytest.mark.parametrize("cut", [4, 127, 131, 200])
def test_a_profile_that_is_cut_off_is_told_in_one_line(cut: int) -> None:
    notes: list[str] = []
    picture = carrying(Image.new("RGB", (2, 2)), rgb_profile(1.0)[:cut])
    assert to_srgb(picture, notes) is None
    assert len(notes) == 1
    assert notes[0].startswith("broken colour profile (")
    assert "\n" not in notes[0]


def test_the_kinds_of_profiles_are_those_of_modes_that_pillow_has() -> None:
    for mode in MODES.values():
        assert Image.new(mode, (1, 1)).mode == mode
