"""``match``, ``nearest`` and ``convert`` as a stitcher and as a script call them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from chartscan.chart import save_chart
from chartscan.cli.main import run
from tests.palette.making import chart_of

if TYPE_CHECKING:
    from tests.conftest import Drawn

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def call(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command line: exit status, standard output, standard error."""

    def calling(*arguments: object) -> tuple[int, str, str]:
        status = run([str(argument) for argument in arguments])
        said = capsys.readouterr()
        return status, said.out, said.err

    return calling


@pytest.fixture
def chart(tmp_path: Path) -> Path:
    """A chart of three reds, a blue outline and a knot."""
    path = tmp_path / "chart.json"
    colours = ["#cc2233", "#dd5566", "#cc2334", "#225588", "#cc2233"]
    save_chart(chart_of(colours, ["stitch", "stitch", "stitch", "line", "knot"]), path)
    return path


def _json(call: Run, *arguments: object) -> dict[str, Any]:
    status, out, err = call(*arguments, "--json")
    assert (status, err) == (0, "")
    decoded: dict[str, Any] = json.loads(out)
    return decoded


def test_match_prints_the_object_of_the_contract(call: Run, chart: Path) -> None:
    said = _json(call, "match", chart, "--palette", "meadowline")
    assert [m["class"] for m in said["matches"]] == [1, 2, 3, 4, 5]
    first = said["matches"][0]
    assert {"class", "rgb", "code", "name", "delta_e", "grade", "alternatives"} <= first.keys()
    assert first["rgb"] == [204, 34, 51]
    assert (first["code"], first["grade"], first["owned"]) == ("EMB5", "close", None)
    assert first["alternatives"][0].keys() >= {"code", "name", "rgb", "delta_e", "grade", "owned"}
    assert "classes 1 and 3 fall on one thread, EMB5 Ember 5" in said["warnings"]


def test_a_picture_is_matched_as_the_chart_file_that_is_read_from_it(
    call: Run, clean_chart: Drawn, tmp_path: Path
) -> None:
    picture, file = clean_chart.pages[0], tmp_path / "read.json"
    assert call("read", picture, "-o", file)[0] == 0
    from_file = _json(call, "match", file, "--palette", "meadowline", "--distinct")
    assert from_file == _json(call, "match", picture, "--palette", "meadowline", "--distinct")
    assert len(from_file["matches"]) > 2


def test_match_prints_a_table_and_warns_beside_it(call: Run, chart: Path) -> None:
    status, out, err = call("match", chart, "--palette", "meadowline", "--fabric-colour", "#c73434")
    assert status == 0
    assert "EMB5 Ember 5" in out
    assert "4 line" in out
    assert max(len(line) for line in out.splitlines()) <= 80
    assert "Warning: classes 1 and 3 fall on one thread, EMB5 Ember 5" in err
    assert "EMB5 Ember 5 (class 1, 3 and 5) can't be seen on the fabric" in err


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_a_table_keeps_its_threads_on_a_terminal_of_any_width(
    call: Run, chart: Path, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    _, out, _ = call("match", chart, "--palette", "meadowline")
    assert max(len(line) for line in out.splitlines()) <= width
    assert all(word in out for word in ("EMB5", "Ember", "#cc2233", "1.3"))
    assert ("#cc2233 #c82f37" in out) == (width >= 80)


def test_the_help_names_the_sample_palettes(call: Run) -> None:
    from chartscan.palette.samples import SAMPLES

    for command in ("match", "nearest"):
        said = " ".join(call(command, "--help")[1].split())
        assert "a sample: " + ", ".join(SAMPLES) in said


def test_match_takes_every_choice_at_once(call: Run, chart: Path, tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    key.write_text("class,code\n#225588,COR6\n", encoding="utf-8")
    said = _json(
        call, "match", chart, "--palette", "meadowline", "--key", key, "--owned", "stash-example",
        "--own-within", "3", "--distinct", "--keep-shades", "--as-printed", "--all",
    )  # fmt: skip
    codes = {m["class"]: m["code"] for m in said["matches"]}
    assert codes[4] == "COR6"
    assert len({codes[1], codes[2], codes[3]}) == 3
    assert all(m["owned"] is not None for m in said["matches"])
    assert said["matches"][3]["keyed"]


def test_a_keyed_symbol_without_colour_has_no_difference(call: Run, tmp_path: Path) -> None:
    path, key = tmp_path / "chart.json", tmp_path / "key.csv"
    save_chart(chart_of([None]), path)
    key.write_text("class,code\nsign 1,COR6\n", encoding="utf-8")
    status, out, err = call("match", path, "--palette", "meadowline")
    assert status == 0
    assert "no thread told" in out
    assert "name the thread in a key" in err
    (only,) = _json(call, "match", path, "--palette", "meadowline", "--key", key)["matches"]
    assert (only["code"], only["delta_e"], only["rgb"]) == ("COR6", None, None)
    assert "told by the key" in call("match", path, "--palette", "meadowline", "--key", key)[1]


@pytest.mark.parametrize(
    ("extra", "status", "said"),
    [
        (("--own-within", "2"), 2, "--own-within needs --owned"),
        (("--distinct", "--at-most", "3"), 2, "can't both be given"),
        (("--at-most", "0"), 2, "'0' isn't a whole number of 1 or more"),
        (("--illuminant", "D99"), 2, "illuminant 'D99' isn't known; use one of A, B, C, D50"),
        (("--key", "none.csv"), 1, "none.csv: can't be opened"),
        (("--owned", "none.csv"), 1, "none.csv: can't be opened"),
        (("--palette", "lab.csv"), 1, "line 2: illuminant 'D99' isn't known"),
        (("--palette", "none.csv"), 1, "none.csv: there is no such file"),
        (("--size", "9x9"), 2, "is a chart file"),
    ],
)
def test_wrong_use_and_bad_files_get_one_clear_line(
    call: Run,
    chart: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    extra: tuple[str, ...],
    status: int,
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "lab.csv").write_text("code,L,a,b,illuminant\nA,50,1,1,D99\n", encoding="utf-8")
    found, out, err = call("match", chart, "--palette", "meadowline", *extra)
    assert (found, out) == (status, "")
    assert err.startswith("Error: ")
    assert err.count("\n") == 1
    assert said in err


def test_nearest_prints_the_object_of_the_contract(call: Run) -> None:
    said = _json(call, "nearest", "#6d7f43", "--palette", "meadowline", "-n", "3")
    assert said["colour"]["rgb"] == [109, 127, 67]
    assert len(said["threads"]) == 3
    assert said["threads"][0].keys() >= {"code", "name", "rgb", "delta_e", "grade", "owned"}
    by_code = _json(call, "nearest", "ROS2", "--palette", "meadowline")
    assert (by_code["colour"]["code"], len(by_code["threads"])) == ("ROS2", 5)


def test_nearest_shows_what_is_at_hand(call: Run) -> None:
    arguments = ("nearest", "lab:50,10,10", "--palette", "meadowline", "--owned", "stash-example")
    said = _json(call, *arguments, "--owned-only")
    assert all(t["owned"] > 0 for t in said["threads"])
    status, out, _ = call(*arguments)
    assert status == 0
    assert max(len(line) for line in out.splitlines()) <= 80


def test_a_variegated_thread_is_shown_as_the_mean_of_its_colours(call: Run) -> None:
    arguments = ("nearest", "#9d4e2b", "--palette", "fenmarl-pearl", "-n", "1")
    (found,) = _json(call, *arguments)["threads"]
    assert (found["name"], found["rgb"]) == ("Bonfire", [157, 78, 43])
    assert found["colours"] == [[168, 64, 47], [217, 130, 43], [91, 42, 34]]
    assert "mean of 3 colours" in " ".join(call(*arguments)[1].split())


def test_nearest_finds_a_fabric(call: Run) -> None:
    said = _json(call, "nearest", "#f0e8d8", "--fabrics", "fabrics-example", "--count", "28")
    assert all(f["count"] == 28 for f in said["fabrics"])
    status, out, _ = call("nearest", "#f0e8d8", "--fabrics", "fabrics-example", "--cut", "300x400")
    assert (status, "Cream block weave" in out) == (0, True)


@pytest.mark.parametrize(
    ("arguments", "status", "said"),
    [
        (("#123456",), 2, "--palette is missing"),
        (("#123456", "--palette", "meadowline", "--owned-only"), 2, "--owned-only needs --owned"),
        (("#123456", "--palette", "meadowline", "--count", "28"), 2, "go with --fabrics"),
        (("purple", "--palette", "meadowline"), 1, "no thread 'purple' in the palette"),
        (("#12345", "--palette", "meadowline"), 1, "isn't of the form #rrggbb"),
    ],
)
def test_nearest_refuses_what_it_cannot_find(
    call: Run, arguments: tuple[str, ...], status: int, said: str
) -> None:
    found, out, err = call("nearest", *arguments)
    assert (found, out, err.count("\n")) == (status, "", 1)
    assert said in err


def test_convert_writes_a_key_that_match_takes(call: Run, chart: Path, tmp_path: Path) -> None:
    key, new = tmp_path / "key.csv", tmp_path / "new.csv"
    key.write_text("class,code\n1,EMB5\n2,HAW4\n3,EMB5\n", encoding="utf-8")
    said = _json(call, "convert", key, "--from", "meadowline", "--to", "fenmarl-pearl", "-o", new)
    assert [t["from"]["code"] for t in said["threads"]] == ["EMB5", "HAW4"]
    matched = _json(call, "match", chart, "--palette", "fenmarl-pearl", "--key", new)
    assert matched["matches"][0]["code"] == said["threads"][0]["code"]
    assert matched["matches"][2]["code"] == said["threads"][0]["code"]
    status, out, err = call("convert", key, "--from", "meadowline", "--to", "fenmarl-pearl")
    assert status == 0
    assert "EMB5 Ember 5" in out
    assert max(len(line) for line in out.splitlines()) <= 80
    assert err == "" or err.startswith("Warning: ")


def test_convert_leaves_nothing_behind_where_it_cannot_write(call: Run, tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    key.write_text("code\nEMB5\n", encoding="utf-8")
    to = tmp_path / "missing" / "new.csv"
    status, out, err = call("convert", key, "--from", "meadowline", "--to", "css-colours", "-o", to)
    assert (status, out) == (1, "")
    assert "does not exist" in err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["key.csv"]
