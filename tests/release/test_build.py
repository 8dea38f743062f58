"""What is handed out: a source archive that builds, a wheel that holds all the program needs."""

from __future__ import annotations

import os
import subprocess
import sys
import tarfile
import zipfile
from email.parser import Parser
from pathlib import Path

import pytest

import chartscan
from tests.release.oldest import constraints, oldest

ROOT = Path(__file__).parents[2]
PACKAGE = Path("chartscan")
BESIDE = ("palettes", "tests", "examples")
MADE = ROOT / "examples" / "out"  # by examples/run.sh, which the README calls first; it stays there


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the source archive, and the wheel that was built from it and not from here."""
    folder = tmp_path_factory.mktemp("built")
    subprocess.run(
        [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(folder), str(ROOT)],
        check=True,
        capture_output=True,
        text=True,
    )
    return folder


@pytest.fixture(scope="module")
def wheel(built: Path) -> Path:
    return next(built.glob("*.whl"))


@pytest.fixture(scope="module")
def unpacked(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel laid out as an installer would; it is pure Python."""
    folder = tmp_path_factory.mktemp("unpacked")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def _run(unpacked: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "chartscan", *arguments],
        cwd=unpacked,  # far from the checkout: nothing of it may be found
        env=os.environ | {"PYTHONPATH": str(unpacked)},
        capture_output=True,
        text=True,
        check=False,
    )


def _files_of(folder: Path) -> set[str]:
    """Files under ``folder``, from the project's root, without what Python leaves behind."""
    return {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / folder).rglob("*")
        if path.is_file()
        and "__pycache__" not in path.parts
        and not path.name.startswith(".")
        and not path.is_relative_to(MADE)
    }


def test_the_wheel_holds_every_file_of_the_package_and_the_sample_ranges(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        held = set(archive.namelist())
    ranges = {f"chartscan/{path}" for path in _files_of(Path("palettes")) if path.endswith(".csv")}
    assert len(ranges) >= 5
    assert _files_of(PACKAGE) | ranges <= held
    assert not [name for name in held if name.startswith(("tests/", "palettes/", "examples/"))]


def test_the_source_archive_holds_what_builds_tests_and_explains_it(built: Path) -> None:
    with tarfile.open(next(built.glob("*.tar.gz"))) as archive:
        held = {name.split("/", 1)[1] for name in archive.getnames() if "/" in name}
    top = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml"}
    assert top <= held
    assert set().union(*(_files_of(Path(name)) for name in (PACKAGE, *BESIDE))) <= held
    assert not [name for name in held if name.startswith(f"{MADE.relative_to(ROOT).as_posix()}/")]


def test_the_version_stands_in_one_place(wheel: Path, unpacked: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        name = next(n for n in archive.namelist() if n.endswith(".dist-info/METADATA"))
        described = Parser().parsestr(archive.read(name).decode())
    assert described["Version"] == chartscan.__version__
    assert _run(unpacked, "--version").stdout.split()[-1] == chartscan.__version__
    assert chartscan.__version__ not in (ROOT / "pyproject.toml").read_text(encoding="utf-8")


def test_what_was_unpacked_reads_the_example_and_finds_its_sample_range(unpacked: Path) -> None:
    example = unpacked / "chartscan" / "worktable" / "example" / "lighthouse.png"
    chart = unpacked / "lighthouse.json"
    read = _run(unpacked, "read", str(example), "-o", str(chart))
    assert read.returncode == 0, read.stderr
    matched = _run(unpacked, "match", str(chart), "--palette", "meadowline", "--json")
    assert matched.returncode == 0, matched.stderr
    assert '"code"' in matched.stdout


def test_the_oldest_that_is_allowed_is_told_of_everything_that_the_program_calls() -> None:
    told = constraints((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert "click==8.2" in told
    assert len(told) >= 14  # nine that it always needs, and those of its extras
    with pytest.raises(ValueError, match="oldest release"):
        oldest("click")
