"""What bad input gets: one line that names the file and the way out, and nothing half-written."""

from __future__ import annotations

import errno
import io
import os
import shlex
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from PIL import Image

from chartscan.errors import OutputError
from chartscan.files import replacing

if TYPE_CHECKING:
    from tests.cli.conftest import Call, Outcome

# ---------------------------------------------------------------------------- pictures


def _noise(shape: tuple[int, ...], seed: int = 5) -> Image.Image:
    pixels = np.random.default_rng(seed).integers(0, 256, shape, dtype=np.uint8)
    return Image.fromarray(pixels)


def _smooth(size: int = 400) -> Image.Image:
    """Something like a photograph of a garden: soft blobs, no straight line."""
    small = np.random.default_rng(8).integers(0, 256, (9, 9, 3), dtype=np.uint8)
    return Image.fromarray(small).resize((size, size), Image.Resampling.BICUBIC)


def _saved(image: Image.Image, path: Path) -> None:
    image.save(path)


def _truncated(path: Path) -> None:
    stream = io.BytesIO()
    _noise((200, 200, 3)).save(stream, format="PNG")
    path.write_bytes(stream.getvalue()[:20_000])


BAD: dict[str, Callable[[Path], object]] = {
    "missing": lambda path: None,
    "empty": lambda path: path.write_bytes(b""),
    "truncated": _truncated,
    "text": lambda path: path.write_text("a shopping list\n" * 50, encoding="utf-8"),
    "folder": lambda path: path.mkdir(),
    "1x1": lambda path: _saved(Image.new("RGB", (1, 1)), path),
    "one colour": lambda path: _saved(Image.new("RGB", (300, 300), "#fafafa"), path),
    "noise": lambda path: _saved(_noise((300, 300, 3)), path),
    "photograph": lambda path: _saved(_smooth(), path),
}


@pytest.fixture(params=BAD)
def bad_picture(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A file that is no chart."""
    path = tmp_path / f"{request.param}.png"
    BAD[request.param](path)
    return path


def _assert_one_line(err: str, *named: str | Path) -> None:
    """One ``Error:`` line, no traceback, everything in ``named`` said."""
    assert err.startswith("Error: "), err
    assert err.count("\n") == 1, err
    assert "Traceback" not in err
    for name in named:
        assert str(name) in err, err


def _leftovers(folder: Path, *known: Path) -> set[Path]:
    return set(folder.iterdir()) - set(known)


def test_what_is_no_chart_is_refused(bad_picture: Path, tmp_path: Path, chartscan: Call) -> None:
    out = tmp_path / "out"
    out.mkdir()
    result = chartscan("read", bad_picture, "-o", out / "chart.json", "--review", out / "r.png")
    assert result.status == 1
    assert result.out == ""
    _assert_one_line(result.err, bad_picture.name)
    assert _leftovers(out) == set()


def test_a_page_over_the_limit_is_refused_and_the_way_out_named(
    stripes: Path, chartscan: Call
) -> None:
    result = chartscan("count", stripes, "--max-pixels", "1000")
    assert result.status == 1
    _assert_one_line(result.err, stripes, "--max-pixels")


def test_a_small_file_that_unpacks_to_a_huge_page_is_refused_at_once(
    tmp_path: Path, chartscan: Call
) -> None:
    path = tmp_path / "huge.png"
    Image.new("1", (40_000, 40_000)).save(path)
    started = time.monotonic()
    result = chartscan("count", path)
    assert result.status == 1
    _assert_one_line(result.err, path)
    assert time.monotonic() - started < 5


def test_a_broken_icc_profile_is_a_warning_and_the_page_is_read(
    stripes: Path, tmp_path: Path, chartscan: Call
) -> None:
    path = tmp_path / "profile.png"
    with Image.open(stripes) as image:
        image.save(path, icc_profile=b"not a profile at all")
    result = chartscan("count", path, "--expect-size", "20x12")
    assert result.status == 0
    assert result.err.startswith("Warning: ")
    assert "profile" in result.err


def test_broken_exif_is_no_reason_to_stop(stripes: Path, tmp_path: Path, chartscan: Call) -> None:
    path = tmp_path / "exif.jpg"
    with Image.open(stripes) as image:
        image.save(path, quality=95, exif=b"Exif\x00\x00II*\x00\xff\xff\xff\x7f")
    result = chartscan("count", path, "--expect-size", "20x12")
    assert result.status == 0, result.err


# ---------------------------------------------------------------------------- chart files


@pytest.mark.parametrize(
    "text",
    [
        "{",
        "{}",
        '{"format": "chartscan.chart"}',
        '{"format": "chartscan.chart", "version": 99}',
        '{"format": "chartscan.chart", "version": 1, "columns": 1, "rows": 1,'
        ' "cells": [[7]], "classes": []}',
        "[" * 100_000,
    ],
    ids=["cut off", "empty object", "no version", "newer", "unknown class", "deep"],
)
def test_a_broken_chart_file_is_refused(tmp_path: Path, text: str, chartscan: Call) -> None:
    path = tmp_path / "chart.json"
    path.write_text(text, encoding="utf-8")
    result = chartscan("count", path)
    assert result.status == 1
    _assert_one_line(result.err, path)


def test_a_chart_file_of_a_newer_version_says_what_to_do(tmp_path: Path, chartscan: Call) -> None:
    path = tmp_path / "chart.json"
    path.write_text('{"format": "chartscan.chart", "version": 99}', encoding="utf-8")
    _assert_one_line(chartscan("count", path).err, "version 99", "update chartscan")


def test_reading_options_with_a_chart_file_are_wrong_usage(
    chart_file: Path, chartscan: Call
) -> None:
    result = chartscan("count", chart_file, "--size", "22x12")
    assert result.status == 2
    _assert_one_line(result.err, chart_file)


# ---------------------------------------------------------------------------- kit


def _kit(chartscan: Call, chart: Path, *more: str | Path) -> Outcome:
    return chartscan(
        "kit", chart, "--palette", "meadowline", "--fabric", "28", "--over", "2", *more
    )


@pytest.mark.parametrize(
    ("arguments", "status", "named"),
    [
        (("--palette", "no-such.csv"), 1, "no-such.csv"),
        (("--fabric", "0"), 1, "count"),
        (("--fabric", "-28"), 1, "count"),
        (("--fabric", "nan"), 1, "count"),
        (("--fabric", "linen"), 2, "--fabric"),
        (("--over", "0"), 1, "over"),
        (("--strands", "0"), 1, "strands"),
        (("--strands", "7"), 1, "divides into 6"),
        (("--margin", "-1"), 1, "margin"),
        (("--owned", "no-such.csv"), 1, "no-such.csv"),
        (("--key", "no-such.csv"), 1, "no-such.csv"),
        (("--fabric-colour", "oatmeal"), 2, "oatmeal"),
        (("--sheet", "no/such/folder/kit.html"), 1, "no/such/folder"),
        (("--sheet", "."), 2, "--sheet"),
        (("--sheet", "same.html", "--label", "same.html"), 2, "same file"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_a_kit_that_cannot_be_is_refused_in_one_line(
    chart_file: Path,
    chartscan: Call,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    arguments: tuple[str, ...],
    status: int,
    named: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    result = _kit(chartscan, chart_file, *arguments)
    assert result.status == status, result.err
    assert result.out == ""
    _assert_one_line(result.err, named)
    assert _leftovers(tmp_path, chart_file) == set()


def test_the_sheet_never_overwrites_what_is_read(chart_file: Path, chartscan: Call) -> None:
    before = chart_file.read_bytes()
    result = _kit(chartscan, chart_file, "--sheet", chart_file)
    assert result.status == 2
    assert chart_file.read_bytes() == before


def test_every_bad_row_of_a_palette_is_named_at_once(
    chart_file: Path, tmp_path: Path, chartscan: Call
) -> None:
    palette = tmp_path / "threads.csv"
    palette.write_text(
        "code,name,hex\nA1,Moss,#5a783c\nA2,Rust,#zzzzzz\n,Nameless,#112233\nA1,Again,#445566\n",
        encoding="utf-8",
    )
    result = chartscan("kit", chart_file, "--palette", palette, "--fabric", "28")
    assert result.status == 1
    _assert_one_line(result.err, palette, "line 3", "line 4", "line 5")


def test_a_table_of_windows_is_read_and_the_assumption_told_once(
    chart_file: Path, tmp_path: Path, chartscan: Call
) -> None:
    palette = tmp_path / "threads.csv"
    palette.write_bytes("code,name,hex\nM1,Moosgrün,#5a783c\nA2,Rot,#b03030\n".encode("cp1252"))
    result = chartscan("match", chart_file, "--palette", palette)
    assert result.status == 0
    assert "Moosgrün" in result.out
    told = [line for line in result.err.splitlines() if "Windows-1252" in line]
    assert len(told) == 1
    assert told[0].startswith(f"Warning: {palette}: isn't UTF-8 and is read as Windows-1252")
    assert "line 2 begins 'M1,Moosgrün,#5a783c'" in told[0]


def test_an_unknown_code_in_the_key_is_named(
    chart_file: Path, tmp_path: Path, chartscan: Call
) -> None:
    key = tmp_path / "key.csv"
    key.write_text("class,code\n1,NO-SUCH\n", encoding="utf-8")
    result = _kit(chartscan, chart_file, "--key", key)
    assert result.status == 1
    _assert_one_line(result.err, key, "NO-SUCH", "line 2")


def test_a_chart_without_stitches_makes_no_kit(tmp_path: Path, chartscan: Call) -> None:
    from chartscan.chart import Chart, ChartClass, save_chart

    path = tmp_path / "bare.json"
    save_chart(Chart(np.zeros((6, 6), dtype=np.int32), (ChartClass(0, "empty"),)), path)
    result = _kit(chartscan, path)
    assert result.status == 1
    _assert_one_line(result.err, "no stitches")


# ---------------------------------------------------------------------------- the disk


def test_a_full_disk_leaves_the_old_sheet_and_nothing_else(
    chart_file: Path, tmp_path: Path, chartscan: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = tmp_path / "kit.html"
    sheet.write_text("last week's", encoding="utf-8")

    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    result = _kit(chartscan, chart_file, "--sheet", sheet, "--overwrite")
    assert result.status == 1
    _assert_one_line(result.err, sheet, "No space left")
    assert sheet.read_text(encoding="utf-8") == "last week's"
    assert _leftovers(tmp_path, chart_file, sheet) == set()


def test_a_folder_that_may_not_be_written_to_is_named(
    chart_file: Path, tmp_path: Path, chartscan: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Refused as the system refuses it; a test that runs as root could write anywhere."""
    opened = Path.open

    def denied(path: Path, mode: str = "r", **how: Any) -> Any:  # noqa: ANN401 - as Path.open
        if "x" in mode:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return opened(path, mode, **how)

    monkeypatch.setattr(Path, "open", denied)
    result = _kit(chartscan, chart_file, "--sheet", tmp_path / "kit.html")
    assert result.status == 1
    _assert_one_line(result.err, tmp_path / "kit.html", "Permission denied")


def test_a_disk_that_is_read_only_is_told_by_the_name_she_gave(
    chart_file: Path, tmp_path: Path, chartscan: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Such a disk refuses to take away what was never made, too (Linux: EROFS of unlink)."""

    def refused(path: Path, *how: object, **more: object) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(path))

    opened, removed = Path.open, Path.unlink
    monkeypatch.setattr(
        Path, "open", lambda path, *how, **more: (
            refused if path.suffix == ".part" else opened)(path, *how, **more)
    )  # fmt: skip
    monkeypatch.setattr(
        Path, "unlink", lambda path, *how, **more: (
            refused if path.suffix == ".part" else removed)(path, *how, **more)
    )  # fmt: skip
    result = _kit(chartscan, chart_file, "--sheet", tmp_path / "kit.html")
    assert result.status == 1
    _assert_one_line(result.err, f"{tmp_path / 'kit.html'}: may not be written", "another folder")


def _write_half(path: Path) -> None:
    with replacing(path) as stream:
        stream.write(b"half")
        raise ZeroDivisionError


def test_a_device_is_not_replaced_by_the_sheet(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(OutputError, match="plain file"), replacing(pipe):
        pass
    assert pipe.is_fifo()


def test_work_that_fails_half_way_leaves_the_old_file(tmp_path: Path) -> None:
    path = tmp_path / "kit.html"
    path.write_text("last week's", encoding="utf-8")
    with pytest.raises(ZeroDivisionError):
        _write_half(path)
    assert path.read_text(encoding="utf-8") == "last week's"
    assert list(tmp_path.iterdir()) == [path]


# ---------------------------------------------------------------------------- processes


def _start(*arguments: str | Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "chartscan", *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@pytest.mark.parametrize("arguments", [(), ("--json",)], ids=["table", "json"])
def test_a_reader_that_leaves_early_gets_no_traceback(
    chart_file: Path, arguments: tuple[str, ...]
) -> None:
    process = _start("count", chart_file, *arguments)
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    said = process.stderr.read()
    process.stderr.close()
    assert process.wait(timeout=30) == 1
    assert said == ""


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_a_stream_that_is_closed_before_the_start_is_no_fault(
    chart_file: Path, tmp_path: Path, closed: str
) -> None:
    sheet = tmp_path / "kit.html"
    words = [sys.executable, "-m", "chartscan", "kit", str(chart_file), "--palette", "meadowline"]
    words += ["--fabric", "28", "--sheet", str(sheet)]
    done = subprocess.run(
        f"{shlex.join(words)} {closed}", shell=True, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    assert sheet.read_text(encoding="utf-8").rstrip().endswith("</html>")


def test_output_to_a_full_disk_is_one_line(chart_file: Path) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "chartscan", "count", str(chart_file), "--json"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 1
    _assert_one_line(done.stderr, "standard output", "No space left")


@pytest.mark.parametrize("encoding", ["ascii", "latin-1"])
def test_a_terminal_without_the_signs_gets_others(chart_file: Path, encoding: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "chartscan", "match", str(chart_file), "--palette", "meadowline"],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
