"""Decoding pages: every format, orientation and profile comes out as upright sRGB on white."""

from __future__ import annotations

import contextlib
import hashlib
import io
import struct
import warnings
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps

from chartscan.errors import PageError
from chartscan.reading.page.page import Page, PageSettings, list_pages, load_page, turned
from tests.reading.page.profiles import rgb_profile

Pixels = NDArray[np.uint8]


def test_turns_add_up_to_less_than_a_whole_one(colours: Pixels) -> None:
    """Clockwise, as she says it: what is kept of the page is how far it was turned in all."""
    once = turned(Page(colours, lossless=True), 90)
    np.testing.assert_array_equal(once.pixels, np.rot90(colours, -1))
    assert once.turn == 90
    assert turned(once, 180).turn == 270
    again = turned(turned(once, 180), 180)
    assert again.turn == 90
    np.testing.assert_array_equal(again.pixels, once.pixels)
    assert turned(turned(once, 270), 0).turn == 0


@pytest.mark.parametrize("factor", [1, 2, 4, 5])
def test_luma_is_that_of_the_page_made_smaller_and_a_small_one_is_made_once(
    colours: Pixels, factor: int
) -> None:
    page = Page(colours, lossless=True)
    whole = Image.fromarray(colours).reduce(factor)
    np.testing.assert_array_equal(page.luma(factor), np.asarray(whole.convert("L")))
    np.testing.assert_array_equal(page.smaller(factor), np.asarray(whole))
    assert (page.smaller(factor) is page.smaller(factor)) == (factor != 2)


@pytest.mark.parametrize("factor", [8, 12, 20])
def test_multiples_of_four_lie_within_a_level_of_what_all_pixels_give(
    colours: Pixels, factor: int
) -> None:
    page = Page(np.kron(colours, np.ones((3, 5, 1), np.uint8)), lossless=True)
    whole = np.asarray(Image.fromarray(page.pixels).reduce(factor), dtype=int)
    seen = page.smaller(factor)
    assert seen.shape == whole.shape
    full = seen[: page.size[1] // factor, : page.size[0] // factor]
    assert np.abs(full - whole[: len(full), : full.shape[1]]).max() <= 1
    assert page.smaller(factor) is seen


@pytest.fixture
def colours() -> Pixels:
    """Forty by sixty pixels of noise in every colour."""
    return np.random.default_rng(3).integers(0, 256, (40, 60, 3), dtype=np.uint8)


def saved(path: Path, image: Image.Image, **options: Any) -> Page:  # noqa: ANN401 - Pillow's own
    image.save(path, **options)
    return load_page(path)


@pytest.mark.parametrize("name", ["a.png", "a.bmp", "a.tiff", "a.ppm"])
def test_lossless_formats_keep_every_level(tmp_path: Path, colours: Pixels, name: str) -> None:
    page = saved(tmp_path / name, Image.fromarray(colours))
    assert page.lossless
    np.testing.assert_array_equal(page.pixels, colours)


def test_webp_is_lossless_only_when_coded_so(tmp_path: Path, colours: Pixels) -> None:
    exact = saved(tmp_path / "a.webp", Image.fromarray(colours), lossless=True)
    assert exact.lossless
    np.testing.assert_array_equal(exact.pixels, colours)
    assert not saved(tmp_path / "b.webp", Image.fromarray(colours), quality=80).lossless


def test_jpeg_is_not_lossless_and_near_the_original(tmp_path: Path) -> None:
    flat = np.full((64, 64, 3), (200, 80, 40), dtype=np.uint8)
    page = saved(tmp_path / "a.jpg", Image.fromarray(flat), quality=90)
    assert not page.lossless
    assert np.abs(page.pixels.astype(int) - flat).max() <= 3


def test_jpeg_inside_tiff_is_not_lossless(tmp_path: Path, colours: Pixels) -> None:
    assert not saved(tmp_path / "a.tif", Image.fromarray(colours), compression="jpeg").lossless


def test_cmyk_jpeg_comes_out_in_colour(tmp_path: Path) -> None:
    cyan = Image.new("CMYK", (40, 40), (255, 0, 0, 0))
    red, green, blue = saved(tmp_path / "a.jpg", cyan, quality=95).pixels[20, 20].astype(int)
    assert red < 40
    assert green > 150
    assert blue > 150


def test_one_bit_pages_are_black_and_white(tmp_path: Path) -> None:
    page = saved(tmp_path / "a.png", Image.new("1", (30, 30), 1))
    assert page.pixels.shape == (30, 30, 3)
    assert np.unique(page.pixels).tolist() == [255]


def test_sixteen_bit_greys_are_scaled_not_clipped(tmp_path: Path) -> None:
    ramp = np.repeat(np.arange(0, 65536, 2048, dtype=np.uint16)[None], 24, axis=0)
    page = saved(tmp_path / "a.png", Image.fromarray(ramp))
    np.testing.assert_array_equal(page.pixels[0, :, 0], ramp[0] >> 8)


def test_float_tiffs_are_scaled_by_their_range(tmp_path: Path) -> None:
    ramp = np.repeat(np.linspace(0, 1, 32, dtype=np.float32)[None], 24, axis=0)
    page = saved(tmp_path / "a.tif", Image.fromarray(ramp))
    np.testing.assert_array_equal(page.pixels[0, :, 1], np.round(ramp[0] * 255))


def test_palette_pictures_keep_their_colours(tmp_path: Path) -> None:
    image = Image.new("P", (40, 40))
    image.putpalette([10, 20, 30, 200, 100, 50])
    image.paste(1, (20, 0, 40, 40))
    page = saved(tmp_path / "a.gif", image)
    assert page.pixels[0, 0].tolist() == [10, 20, 30]
    assert page.pixels[0, 39].tolist() == [200, 100, 50]


def test_alpha_is_laid_on_white(tmp_path: Path) -> None:
    image = Image.new("RGBA", (40, 40), (200, 0, 0, 0))
    image.paste((0, 0, 200, 255), (0, 0, 20, 40))
    image.paste((0, 0, 0, 128), (20, 20, 40, 40))
    page = saved(tmp_path / "a.png", image)
    assert page.pixels[0, 0].tolist() == [0, 0, 200]
    assert page.pixels[0, 30].tolist() == [255, 255, 255]
    assert page.pixels[30, 30].tolist() == [127, 127, 127]  # 255 × (1 − 128/255)


def test_a_transparent_palette_entry_is_white(tmp_path: Path) -> None:
    image = Image.new("P", (40, 40))
    image.putpalette([10, 20, 30, 200, 100, 50])
    page = saved(tmp_path / "a.png", image, transparency=0)
    assert page.pixels[5, 5].tolist() == [255, 255, 255]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_exif_orientation_turns_the_page_upright(
    tmp_path: Path, colours: Pixels, orientation: int
) -> None:
    """All eight of EXIF 2.3, tag 0x0112, held against Pillow's own transposition."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = tmp_path / "a.png"
    Image.fromarray(colours).save(path, exif=exif)
    with Image.open(path) as image:
        expected = np.asarray(ImageOps.exif_transpose(image))
    np.testing.assert_array_equal(load_page(path).pixels, expected)


def test_a_senseless_orientation_is_told_and_left(tmp_path: Path, colours: Pixels) -> None:
    exif = Image.Exif()
    exif[0x0112] = 77
    page = saved(tmp_path / "a.png", Image.fromarray(colours), exif=exif)
    np.testing.assert_array_equal(page.pixels, colours)
    assert "orientation" in page.warnings[0]


def test_broken_exif_is_read_past(tmp_path: Path, colours: Pixels) -> None:
    page = saved(
        tmp_path / "a.jpg", Image.fromarray(colours), exif=b"Exif\x00\x00MM\x00*\xff\xff\xff\xff"
    )
    assert page.size == (60, 40)


def test_an_embedded_profile_is_converted_to_srgb(tmp_path: Path) -> None:
    """Linear 0x80 is sRGB 0xBC: 1.055 × 0.50196^(1/2.4) − 0.055 = 0.7370 (IEC 61966-2-1)."""
    grey = Image.new("RGB", (40, 40), (128, 128, 128))
    page = saved(tmp_path / "a.png", grey, icc_profile=rgb_profile(1.0))
    assert np.abs(page.pixels[20, 20].astype(int) - 188).max() <= 1
    assert not page.warnings


def test_an_srgb_profile_changes_nothing(tmp_path: Path, colours: Pixels) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    page = saved(tmp_path / "a.png", Image.fromarray(colours), icc_profile=profile)
    np.testing.assert_array_equal(page.pixels, colours)


@pytest.mark.parametrize("profile", [b"not a profile", rgb_profile(1.0)[:200]])
def test_a_broken_profile_is_told_and_left(tmp_path: Path, colours: Pixels, profile: bytes) -> None:
    page = saved(tmp_path / "a.png", Image.fromarray(colours), icc_profile=profile)
    np.testing.assert_array_equal(page.pixels, colours)
    assert "profile" in page.warnings[0]


def test_a_profile_of_another_kind_of_picture_is_told_and_left(tmp_path: Path) -> None:
    cmyk = Image.new("CMYK", (40, 40), (0, 0, 0, 0))
    page = saved(tmp_path / "a.jpg", cmyk, icc_profile=rgb_profile(1.0))
    assert "another kind" in page.warnings[0]
    assert page.pixels[5, 5].min() > 250


def test_the_page_knows_its_file(tmp_path: Path, colours: Pixels) -> None:
    path = tmp_path / "a.png"
    page = saved(path, Image.fromarray(colours))
    assert page.file == "a.png"
    assert page.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert page.number is None
    assert not page.pixels.flags.writeable


def test_pages_of_a_tiff_are_chosen_by_number(tmp_path: Path) -> None:
    path = tmp_path / "a.tif"
    pages = [Image.new("RGB", (30, 30), (v, v, v)) for v in (10, 20, 30)]
    pages[0].save(path, save_all=True, append_images=pages[1:])
    assert load_page(path, number=3).pixels[0, 0, 0] == 30
    first = load_page(path)
    assert (first.pixels[0, 0, 0], first.number) == (10, 1)
    assert "holds 3 pages" in first.warnings[0]
    with pytest.raises(PageError, match="has no page 4; it holds 3"):
        load_page(path, number=4)


def test_page_numbers_go_with_one_file() -> None:
    one, two = Path("a.pdf"), Path("b.pdf")
    assert list_pages([one], (2, 3)) == [(one, 2), (one, 3)]
    assert list_pages([one, two]) == [(one, None), (two, None)]
    with pytest.raises(PageError, match="go with one file"):
        list_pages([one, two], (1,))


# ---------------------------------------------------------------------- bad input


def test_what_is_no_file_is_refused_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "empty.png").touch()
    for path, said in [
        (tmp_path / "none.png", "no such file"),
        (tmp_path, "is a folder"),
        (tmp_path / "empty.png", "is empty"),
        (Path("/dev/null"), "isn't a plain file"),
    ]:
        with pytest.raises(PageError, match=said) as caught:
            load_page(path)
        assert str(path) in str(caught.value)


def test_what_is_no_picture_is_refused(tmp_path: Path) -> None:
    text = tmp_path / "a.png"
    text.write_text("row,column,class\n" * 9)
    with pytest.raises(PageError, match="isn't a picture that can be read; give PNG"):
        load_page(text)
    phone = tmp_path / "a.heic"
    phone.write_bytes(b"\0\0\0\x18ftypheic" + bytes(64))
    with pytest.raises(PageError, match="HEIC"):
        load_page(phone)


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.bmp", "a.gif", "a.webp"])
def test_a_truncated_picture_is_refused(tmp_path: Path, colours: Pixels, name: str) -> None:
    path = tmp_path / name
    Image.fromarray(colours).save(path)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    with pytest.raises(PageError, match=name):
        load_page(path)


def test_a_page_of_one_pixel_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PageError, match="1×1 pixels; a chart needs at least 20×20"):
        saved(tmp_path / "a.png", Image.new("RGB", (1, 1)))


def bomb(path: Path, side: int) -> None:
    """A PNG of ``side`` squared black pixels that is a few kilobytes long."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    body = zlib.compress(bytes(64), 9)
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("side", [12_300, 60_000])
def test_a_decompression_bomb_is_refused_before_it_unpacks(tmp_path: Path, side: int) -> None:
    """12,300² is just over the limit of 150 million; 60,000² is over Pillow's own rule too."""
    bomb(tmp_path / "a.png", side)
    with pytest.raises(PageError, match="over the limit of 150 million pixels"):
        load_page(tmp_path / "a.png")


def test_the_limit_can_be_set_and_leaves_pillow_as_it_was(tmp_path: Path, colours: Pixels) -> None:
    before = Image.MAX_IMAGE_PIXELS
    path = tmp_path / "a.png"
    Image.fromarray(colours).save(path)
    with pytest.raises(PageError, match="over the limit"):
        load_page(path, PageSettings(max_pixels=2399))
    assert load_page(path, PageSettings(max_pixels=10**9)).size == (60, 40)
    assert before == Image.MAX_IMAGE_PIXELS


def test_settings_are_checked() -> None:
    with pytest.raises(ValueError, match="at least 1"):
        PageSettings(max_pixels=0)


_STORED: dict[str, bytes] = {}
for _format in ("PNG", "JPEG", "GIF", "TIFF", "BMP", "WEBP"):
    _stream = io.BytesIO()
    Image.fromarray(np.random.default_rng(1).integers(0, 256, (24, 24, 3), dtype=np.uint8)).save(
        _stream, _format
    )
    _STORED[_format] = _stream.getvalue()


@settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.sampled_from(sorted(_STORED)),
    st.lists(st.tuples(st.integers(0, 3000), st.integers(0, 255)), min_size=1, max_size=6),
)
def test_flipped_bytes_give_a_page_or_a_page_error(
    tmp_path: Path, kind: str, flips: list[tuple[int, int]]
) -> None:
    data = bytearray(_STORED[kind])
    for place, value in flips:
        data[place % len(data)] = value
    path = tmp_path / "flipped"
    path.write_bytes(bytes(data))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with contextlib.suppress(PageError):
            page = load_page(path, PageSettings(max_pixels=1_000_000))
            assert page.pixels.shape[2] == 3
