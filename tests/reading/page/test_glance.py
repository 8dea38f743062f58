"""A first look at a file: small, upright, of the page that is wanted, on white."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chartscan.errors import PageError
from chartscan.reading.page.glance import Glance, Holding, glance, holding, quick_grey
from chartscan.reading.page.page import PageSettings

RED, BLUE, WHITE = (200, 20, 30), (20, 40, 200), (255, 255, 255)


@pytest.fixture
def halves(tmp_path: Path) -> Path:
    """400 × 200 px, the left half red, the right one blue; 'it lies on its side' noted in it."""
    picture = Image.new("RGB", (400, 200), RED)
    picture.paste(BLUE, (200, 0, 400, 200))
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter clockwise it stands upright (CIPA DC-008, 4.6.4)
    picture.save(tmp_path / "halves.png", exif=exif)
    return tmp_path / "halves.png"


@pytest.fixture
def three(tmp_path: Path) -> Path:
    """A TIFF of three pages, the second one blue."""
    first, second, third = (Image.new("RGB", (60, 40), colour) for colour in (RED, BLUE, RED))
    first.save(tmp_path / "three.tif", save_all=True, append_images=[second, third])
    return tmp_path / "three.tif"


def at(looked: Glance, x: float, y: float) -> tuple[int, ...]:
    """The colour at parts of the width and height."""
    picture = np.asarray(looked.picture)
    return tuple(picture[int(y * picture.shape[0]), int(x * picture.shape[1])].tolist())


def test_a_picture_is_made_small_and_upright(halves: Path) -> None:
    looked = glance(halves, longest_px=100)
    assert (looked.picture.size, looked.picture.mode, looked.pages) == ((50, 100), "RGB", 1)
    assert (at(looked, 0.5, 0.2), at(looked, 0.5, 0.8)) == (RED, BLUE)
    assert glance(halves).picture.size == (200, 400), "and never made larger"


def test_each_page_of_a_tiff_is_looked_at_by_its_number(three: Path) -> None:
    assert [at(glance(three, number), 0.5, 0.5) for number in (None, 1, 2, 3)] == [
        RED, RED, BLUE, RED,
    ]  # fmt: skip
    assert glance(three, 2).pages == 3
    for number in (0, 4):
        with pytest.raises(PageError, match=f"has no page {number}; it holds 3"):
            glance(three, number)


def test_what_is_clear_is_white(tmp_path: Path) -> None:
    picture = Image.new("RGBA", (40, 40), (0, 0, 0, 0))
    picture.paste((*BLUE, 255), (0, 0, 20, 40))
    picture.save(tmp_path / "clear.png")
    looked = glance(tmp_path / "clear.png")
    assert (at(looked, 0.2, 0.5), at(looked, 0.8, 0.5)) == (BLUE, WHITE)
    grey = quick_grey(tmp_path / "clear.png").grey
    assert grey[20, 30] == 255
    assert grey[20, 5] < 60


def test_too_many_pixels_and_no_picture_are_refused_in_a_line(halves: Path) -> None:
    with pytest.raises(PageError, match="400"):
        glance(halves, settings=PageSettings(max_pixels=79_999))
    assert glance(halves, settings=PageSettings(max_pixels=80_000)).pages == 1
    text = halves.with_name("words.png")
    text.write_text("no picture")
    with pytest.raises(PageError, match=r"words\.png"):
        glance(text)


def test_what_a_file_holds_is_told_without_decoding_it(halves: Path, three: Path) -> None:
    assert holding(halves) == Holding(1, paged=False)
    assert holding(three) == Holding(3, paged=True)
    text = halves.with_name("words.txt")
    text.write_text("no picture")
    assert holding(text) is None


@pytest.mark.parametrize(
    ("longest_px", "shape", "blocks_px", "reduced"),
    [(1600, (240, 480), 8.0, False), (480, (240, 480), 8.0, False), (120, (60, 120), 2.0, True)],
)
def test_a_jpeg_in_one_channel_says_how_large_its_blocks_are(
    tmp_path: Path, longest_px: int, shape: tuple[int, int], blocks_px: float, reduced: bool
) -> None:
    """Of 8 px, and so many times smaller as the page is."""
    Image.new("RGB", (480, 240), (90, 90, 90)).save(tmp_path / "a.jpg")
    quick = quick_grey(tmp_path / "a.jpg", longest_px=longest_px)
    assert (quick.grey.shape, quick.blocks_px, quick.reduced) == (shape, blocks_px, reduced)
    assert abs(quick.grey.astype(int) - 90).max() <= 2


def test_an_exact_picture_has_no_blocks(halves: Path) -> None:
    quick = quick_grey(halves, longest_px=200)
    assert (max(quick.grey.shape), quick.blocks_px, quick.reduced) == (200, 0.0, True)
