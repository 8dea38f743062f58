"""Names of files that are odd, and files that are none: one line each, nothing waited for."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from chartscan.cli.main import run

if TYPE_CHECKING:
    from tests.cli.conftest import Call, Outcome

NOT_UTF8 = os.fsdecode(b"caf\xe9")
CIRCLE = "circle.json"
LONG = "n" * 300 + ".json"


@pytest.fixture(autouse=True)
def _odd_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder with a link that leads in a circle, a pipe and a folder; the stash lies in it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CHARTSCAN_STASH", "stash.db")
    monkeypatch.setenv("CHARTSCAN_USAGE", "usage.json")
    Path("back.json").symlink_to(CIRCLE)
    Path(CIRCLE).symlink_to("back.json")
    Path("folder").mkdir()
    os.mkfifo("pipe")


def _assert_refused(result: Outcome) -> None:
    assert result.status in (1, 2)
    assert result.out == ""
    assert result.err.startswith("Error: "), result.err
    assert result.err.count("\n") == 1


@pytest.mark.parametrize("name", [CIRCLE, LONG, "pipe", "folder", "/dev/full", "", "nul\0"])
@pytest.mark.parametrize(
    "command",
    [
        "read {}",
        "count {}",
        "match {} --palette meadowline",
        "match chart --palette {}",
        "kit chart --palette meadowline --fabric 28 --owned {}",
        "read picture -o out.json --fix {}",
        "palette check {}",
        "convert {} --from meadowline --to fenmarl-pearl",
        "stash add chart Robin --file {}",
        "project new Robin --chart {}",
        "stash list --stash {}",
        "stash restore {}",
        "stash import threads {}",
        "usage add Robin --estimate {} --used 3m",
    ],
)
def test_what_cannot_be_read_is_refused_at_once(
    command: str, name: str, chart_file: Path, stripes: Path, chartscan: Call
) -> None:
    named = {"{}": name, "chart": str(chart_file), "picture": str(stripes)}
    words = command.split()
    # "chart" is also a word of the commands `stash add chart` and so on.
    places = [i for i, word in enumerate(words) if word in named and words[i - 1] != "add"]
    for place in places:
        words[place] = named[words[place]]
    _assert_refused(chartscan(*words))


@pytest.mark.parametrize("name", [CIRCLE, LONG, "pipe", "folder", "/dev/full", "", "nul\0"])
@pytest.mark.parametrize(
    "command", ["read picture -o {}", "kit chart --palette meadowline --fabric 28 --sheet {}"]
)
def test_what_cannot_be_written_is_refused_and_left_alone(
    command: str, name: str, chart_file: Path, stripes: Path, chartscan: Call
) -> None:
    named = {"{}": name, "chart": str(chart_file), "picture": str(stripes)}
    before = sorted(os.listdir())  # noqa: PTH208 - names, as the shell shows them
    _assert_refused(chartscan(*(named.get(word, word) for word in command.split())))
    assert sorted(os.listdir()) == before  # noqa: PTH208 - as above
    assert Path(CIRCLE).is_symlink()
    assert Path("pipe").is_fifo()


def test_a_name_as_long_as_the_system_takes_can_be_written(chart_file: Path) -> None:
    name = "n" * 250 + ".html"
    arguments = ["--palette", "meadowline", "--fabric", "28", "--sheet", name]
    assert run(["kit", str(chart_file), *arguments]) == 0
    assert Path(name).is_file()


def test_what_is_written_to_a_link_goes_to_the_file_it_leads_to(
    stripes: Path, chartscan: Call
) -> None:
    Path("folder/real.json").write_text("old", encoding="utf-8")
    Path("link.json").symlink_to("folder/real.json")
    assert chartscan("read", stripes, "-o", "link.json").status == 0
    assert Path("link.json").is_symlink()
    assert Path("folder/real.json").read_text(encoding="utf-8").startswith("{")


def test_a_picture_whose_name_is_not_utf8_is_read_and_kitted_up(stripes: Path) -> None:
    picture, chart, sheet = (f"{NOT_UTF8}.{kind}" for kind in ("png", "json", "html"))
    stripes.rename(picture)
    _run("read", picture, "-o", chart)
    made = ["--palette", "meadowline", "--fabric", "28", "--sheet", sheet, "--csv", "k.csv"]
    for source in (picture, chart):
        _run("kit", source, *made, "--label", "l.html", "--overwrite", "--json")
    assert Path(sheet).is_file()


def _run(*arguments: str) -> None:
    """Run the program itself: only its own standard streams take such names."""
    done = subprocess.run(
        [sys.executable, "-m", "chartscan", *arguments],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ("stash", "add", "chart", "Robin", "--file", f"{NOT_UTF8}.json"),
        ("stash", "add", "thread", NOT_UTF8),
        ("project", "new", NOT_UTF8),
        ("project", "new", "Robin", "--chart", f"{NOT_UTF8}.json"),
    ],
)
def test_what_is_not_utf8_cannot_be_booked(
    arguments: tuple[str, ...], chart_file: Path, chartscan: Call
) -> None:
    chart_file.rename(f"{NOT_UTF8}.json")
    result = chartscan(*arguments)
    _assert_refused(result)
    assert "UTF-8" in result.err


@pytest.mark.parametrize(
    "command",
    [
        "stash list --sheet stash.db",
        "stash list --labels ./stash.db",
        "stash export threads stash.db",
        "shop list --csv stash.db",
        "shop list --sheet stash.db",
        "stash list --sheet same.html --labels same.html",
    ],
)
def test_no_list_is_written_over_the_stash_or_another_list(command: str, chartscan: Call) -> None:
    assert chartscan("stash", "add", "thread", "A1").status == 0
    before = Path("stash.db").read_bytes()
    result = chartscan(*command.split())
    assert result.status == 2
    _assert_refused(result)
    assert Path("stash.db").read_bytes() == before


def test_the_new_list_is_never_written_over_the_old_one(chartscan: Call) -> None:
    key = Path("key.csv")
    key.write_text("class,code\n1,COR6\n", encoding="utf-8")
    ranges = ("--from", "meadowline", "--to", "fenmarl-pearl")
    _assert_refused(chartscan("convert", key, *ranges, "-o", key))
    assert key.read_text(encoding="utf-8") == "class,code\n1,COR6\n"


def test_a_stash_that_is_only_named_yet_keeps_no_kit_from_being_made(
    chart_file: Path, chartscan: Call
) -> None:
    """CHARTSCAN_STASH may be set before anything is booked; --stash names one that must be."""
    made = ("kit", chart_file, "--palette", "meadowline", "--fabric", "28")
    assert chartscan(*made).status == 0
    _assert_refused(chartscan(*made, "--stash", "stash.db"))
