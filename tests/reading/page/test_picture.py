"""Decoding: what a file is, what is taken of it, and how lossy its coding was."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from chartscan.errors import PageError
from chartscan.reading.page.picture import (
    FORMATS,
    Decoded,
    check_size,
    decode,
    formats_of,
    not_a_picture,
    too_large,
)
from chartscan.remedies import Remedy


@dataclass(frozen=True)
class Few:
    """Limits of a test: pages of at most 40 × 30 px, and no side under 10."""

    max_pixels: int = 1200
    min_side: int = 10


def stored(image: Image.Image, kind: str, **options: Any) -> bytes:  # noqa: ANN401 - Pillow's own
    stream = io.BytesIO()
    image.save(stream, kind, **options)
    return stream.getvalue()


def decoded(data: bytes, number: int | None = None) -> Decoded:
    return decode(Path("a.png"), io.BytesIO(data), number, Few())


def noise(width: int = 30, height: int = 20) -> Image.Image:
    rng = np.random.default_rng(7)
    return Image.fromarray(rng.integers(0, 256, (height, width, 3), dtype=np.uint8))


# -------------------------------------------------------------------------- size


@pytest.mark.parametrize(
    ("size", "taken"),
    [
        ((40, 30), True),
        ((30, 40), True),
        ((1201, 1), False),
        ((41, 30), False),
        ((10, 10), True),
        ((9, 40), False),
        ((40, 9), False),
    ],
)
def test_pages_are_taken_up_to_the_limit_of_pixels_and_down_to_that_of_sides(
    size: tuple[int, int], taken: bool
) -> None:
    if taken:
        check_size(Path("a.png"), size, Few())
        return
    with pytest.raises(PageError, match=rf"^a.png: is {size[0]}×{size[1]}"):
        check_size(Path("a.png"), size, Few())


def test_too_many_pixels_come_before_too_short_a_side() -> None:
    with pytest.raises(PageError, match="over the limit"):
        check_size(Path("a.png"), (5, 1000), Few())


def test_a_page_that_is_too_large_says_how_large_and_what_helps() -> None:
    error = too_large(Path("a.png"), (20_000, 30_000), 150_000_000)
    assert str(error).startswith("a.png: is 20000×30000, over the limit of 150 million pixels")
    assert error.remedies == (Remedy.CROP, Remedy.SCAN_SMALLER, Remedy.RAISE_LIMIT)
    assert "is over the limit of 1.5 million" in str(too_large(Path("a.png"), None, 1_500_000))


def test_decoding_refuses_by_the_same_limits() -> None:
    with pytest.raises(PageError, match="over the limit"):
        decoded(stored(noise(41, 30), "PNG"))
    with pytest.raises(PageError, match="at least 10×10"):
        decoded(stored(noise(40, 9), "PNG"))
    assert decoded(stored(noise(40, 30), "PNG")).pixels.shape == (30, 40, 3)


# ----------------------------------------------------------------- what file it is


@pytest.mark.parametrize(
    ("head", "heif"),
    [
        (b"\0\0\0\x18ftypheic", True),
        (b"\0\0\0\x18ftypmif1", True),
        (b"\0\0\0\x18ftypavif", False),
        (b"\0\0\0\x18ftypmp42", False),
        (b"heic\0\0\0\0ftyp", False),
        (b"", False),
    ],
)
def test_only_a_file_that_says_so_is_given_to_the_decoder_of_phones(
    head: bytes, heif: bool
) -> None:
    """ISO/IEC 14496-12, 4.3: length, ``ftyp``, then the brand."""
    stream = io.BytesIO(head + bytes(20))
    assert formats_of(stream) == (("HEIF",) if heif else FORMATS)
    assert stream.tell() == 0


def test_a_photograph_that_cannot_be_decoded_is_named_and_other_files_are_not(
    tmp_path: Path,
) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(b"\0\0\0\x18ftypavif" + bytes(20))
    error = not_a_picture(path)
    assert "HEIC or AVIF" in str(error)
    assert Remedy.ADD_HEIC in error.remedies
    path.write_bytes(b"dear diary")
    assert "isn't a picture that can be read; give PNG, JPEG" in str(not_a_picture(path))


# ------------------------------------------------------------------- how lossy it is

STEPS = [9, *[20] * 63]  # quantisers in zigzag order: that of the mean of a block comes first
COARSE = [34, *[20] * 63]


def test_a_jpeg_says_in_which_steps_it_keeps_the_mean_of_a_block() -> None:
    """ITU-T T.81, A.3.3: the first coefficient is eight times the mean of 8 × 8 samples."""
    both = decoded(stored(noise(), "JPEG", qtables=[STEPS, COARSE]))
    assert both.coded == (9 / 8, 34 / 8)
    turned = decoded(stored(noise(), "JPEG", qtables=[COARSE, STEPS]))
    assert turned.coded == (34 / 8, 34 / 8)  # chroma is known no better than luma
    grey = decoded(stored(noise().convert("L"), "JPEG", qtables=[STEPS]))
    assert grey.coded == (9 / 8, 9 / 8)
    assert not both.lossless


def test_steps_are_what_flat_areas_come_back_in() -> None:
    """Flat greys are coded as whole multiples of the step beside middle grey (A.3.1: 128)."""
    step = 24
    table = [step, *[20] * 63]
    back = set()
    for level in range(0, 256, 3):
        flat = Image.new("L", (16, 16), level)
        back.add(int(decoded(stored(flat, "JPEG", qtables=[table])).pixels[8, 8, 0]))
    gaps = np.diff(sorted(back))
    assert decoded(stored(flat, "JPEG", qtables=[table])).coded[0] == step / 8
    assert set(gaps[1:-1].tolist()) == {step // 8}


@pytest.mark.parametrize(
    ("kind", "options", "lossless"),
    [
        ("PNG", {}, True),
        ("BMP", {}, True),
        ("GIF", {}, True),
        ("PPM", {}, True),
        ("TIFF", {"compression": "tiff_lzw"}, True),
        ("TIFF", {"compression": "jpeg"}, False),
        ("WEBP", {"lossless": True}, True),
        ("WEBP", {"lossless": False}, False),
        ("JPEG", {"quality": 100}, False),
    ],
)
def test_only_codings_that_keep_equal_fills_equal_are_lossless(
    kind: str, options: dict[str, object], lossless: bool
) -> None:
    found = decoded(stored(noise(), kind, **options))
    assert found.lossless is lossless
    assert (found.coded != (0.0, 0.0)) == (kind == "JPEG")


# ----------------------------------------------------------------- pages of a file


def pages(kind: str, number: int) -> bytes:
    shades = [Image.new("L", (20, 20), 40 * (k + 1)) for k in range(number)]
    return stored(shades[0], kind, save_all=True, append_images=shades[1:])


@pytest.mark.parametrize("kind", ["TIFF", "GIF"])
def test_pages_are_numbered_from_one_and_the_first_is_taken_unless_told(kind: str) -> None:
    data = pages(kind, 3)
    for number in (1, 2, 3):
        page = decoded(data, number)
        assert page.number == number
        assert int(page.pixels[10, 10, 0]) == 40 * number
        assert page.notes == ()
    first = decoded(data)
    assert first.number == 1
    assert int(first.pixels[10, 10, 0]) == 40
    assert len(first.notes) == 1
    for number in (0, 4, -1):
        with pytest.raises(PageError, match=rf"has no page {number}; it holds 3"):
            decoded(data, number)


def test_a_single_picture_has_no_number_unless_it_was_asked_for_by_one() -> None:
    data = stored(noise(), "PNG")
    assert decoded(data).number is None
    assert decoded(data, 1).number == 1
    with pytest.raises(PageError, match="has no page 2; it holds 1"):
        decoded(data, 2)


def test_what_moves_is_a_single_picture() -> None:
    """A WebP or PNG of several frames shows its first; only TIFF and GIF have pages."""
    frames = [Image.new("RGB", (20, 20), (shade, 0, 0)) for shade in (50, 90)]
    data = stored(frames[0], "WEBP", save_all=True, append_images=frames[1:], lossless=True)
    page = decoded(data)
    assert page.number is None
    assert int(page.pixels[3, 3, 0]) == 50


# ------------------------------------------------------------------- orientation


@pytest.mark.parametrize(
    ("value", "turned", "told"),
    [(1, False, False), (6, True, False), (8, True, False), (0, False, False), (9, False, True)],
)
def test_an_orientation_is_followed_where_it_is_one_of_eight(
    value: int, turned: bool, told: bool
) -> None:
    exif = Image.Exif()
    exif[0x0112] = value
    page = decoded(stored(noise(30, 20), "PNG", exif=exif))
    assert page.pixels.shape[:2] == ((30, 20) if turned else (20, 30))
    assert any("senseless EXIF orientation" in note for note in page.notes) == told


@pytest.mark.parametrize("theirs", [200, 500, 599, 600, None])
def test_the_limit_of_another_library_is_no_lower_than_ours(
    monkeypatch: pytest.MonkeyPatch, theirs: int | None
) -> None:
    """It refuses twice its limit: with 599 it would 1,200 pixels, with 600 it doesn't."""
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", theirs)
    assert decoded(stored(noise(40, 30), "PNG")).pixels.shape == (30, 40, 3)
    with pytest.raises(PageError, match=r"over the limit of 0\.0012 million"):
        decoded(stored(noise(41, 30), "PNG"))
    assert theirs == Image.MAX_IMAGE_PIXELS


def test_the_limit_of_another_library_stands_as_it_stood() -> None:
    before = Image.MAX_IMAGE_PIXELS
    decoded(stored(noise(), "PNG"))
    with pytest.raises(PageError):
        decoded(stored(noise(41, 30), "PNG"))
    assert before == Image.MAX_IMAGE_PIXELS
