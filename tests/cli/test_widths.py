"""Tables of threads: one line a row on a terminal of 80 columns, all that is known on a wider."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from chartscan.chart import load_chart

if TYPE_CHECKING:
    from tests.cli.conftest import Call

EXAMPLES = Path(__file__).parents[2] / "examples"
KEY = EXAMPLES / "lighthouse-key.csv"
MATCH = ("match", "CHART", "--palette", "meadowline")
COMMANDS = [
    MATCH,
    (*MATCH, "--distinct", "--owned", "stash-example", "--own-within", "2"),
    ("convert", str(KEY), "--from", "meadowline", "--to", "fenmarl-pearl"),
    ("nearest", "#6d7f43", "--palette", "meadowline", "--owned", "stash-example", "-n", "15"),
]


@pytest.fixture(scope="module")
def lighthouse(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example, read: 15 colours, a thread each."""
    from chartscan.cli.main import run

    path = tmp_path_factory.mktemp("example") / "lighthouse.json"
    assert run(["read", str(EXAMPLES / "lighthouse.png"), "-o", str(path)]) == 0
    assert sum(c.kind == "stitch" for c in load_chart(path).classes) == 15
    return path


@pytest.mark.parametrize("width", [80, 200])
@pytest.mark.parametrize("command", COMMANDS, ids=["match", "distinct", "convert", "nearest"])
def test_every_thread_takes_one_line(
    command: tuple[str, ...],
    width: int,
    lighthouse: Path,
    chartscan: Call,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    result = chartscan(*(str(lighthouse) if word == "CHART" else word for word in command))
    lines = result.out.splitlines()
    assert len(lines) == 15 + 2, result.out
    assert max(map(len, lines)) <= width
    beside = "Yours" if "--own-within" in command else "Next (margin)"
    assert (beside in lines[0]) >= (width == 200 and command[0] != "nearest")


def test_a_code_that_is_not_there_is_told_with_the_name_of_the_range_as_given(
    chartscan: Call,
) -> None:
    result = chartscan("nearest", "zzz", "--palette", "meadowline")
    assert result.status == 1
    assert result.err.endswith("or a code of meadowline\n")
