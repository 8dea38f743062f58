"""Names, notes and files that would steer a screen, turn text round or be run by a spreadsheet."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.stash.conftest import Call

EVIL = "Ev\x1b[2Jil\u202e\x07\u200f\x9b31m"
FORMULA = "=HYPERLINK(1)"
# Control characters but the end of a line, marks of direction, marks that take no room.
RAW = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u2069\ufeff]"
)
NAMED = ("--name", EVIL, "--line", EVIL, "--note", EVIL)
BEGIN: tuple[tuple[str, ...], ...] = (
    ("stash", "import", "threads", "threads.csv"),
    ("stash", "add", "thread", EVIL, "--skeins", "1", *NAMED),
    ("stash", "add", "fabric", "--count", "28", "--size", "40x50cm", "--colour", EVIL),
    ("stash", "add", "notion", EVIL, "--amount", "2", "--unit", EVIL, "--note", EVIL),
    ("stash", "add", "chart", EVIL, "--book", EVIL, "--note", EVIL),
    ("stash", "wish", "add", EVIL, "--note", EVIL),
    ("project", "new", EVIL, "--note", EVIL, "--place", EVIL),
    ("project", "extra", "thread", EVIL, EVIL, "--skeins", "1"),
    ("project", "extra", "notion", EVIL, EVIL, "--amount", "1"),
)
LOOKS: tuple[tuple[str, ...], ...] = (
    ("project", "plan", EVIL), ("project", "kit", EVIL, "--partly"),
    ("project", "start", EVIL, "--short"),
    ("project", "today"), ("project", "list"), ("project", "took", EVIL),
    ("project", "what-if", EVIL), ("project", "undo", EVIL),
    ("stash", "list", "--order", "place"), ("stash", "find", "il"), ("stash", "history"),
    ("stash", "wish", "list"), ("stash", "unused", "--years", "0"),
    ("stash", "as-of", "2100-01-01"), ("stash", "rules"), ("stash", "reverse", "2", "--look"),
    ("stash", "put", "thread", EVIL, EVIL), ("stash", "rename", "thread", EVIL, f"X{EVIL}"),
    ("stash", "backup", f"{EVIL}.backup"), ("stash", "join", f"{EVIL}.backup"),
    ("stash", "restore", f"{EVIL}.backup"), ("stash", "check"), ("stash", "export", "threads"),
    ("stash", "export", "all", "tables"),
    ("stash", "list", "--sheet", "stash.html", "--labels", "fabric.html"),
    ("project", "label", EVIL, "--sheet", "label.html"),
    ("shop", "list", "--sheet", "shop.html", "--csv", "shop.csv"), ("usage", "list"),
)  # fmt: skip
NONE = f"no {EVIL}"
ERRORS: tuple[tuple[str, ...], ...] = (
    *(("project", move, NONE) for move in ("plan", "kit", "start", "undo", "release", "took")),
    *(("project", move, NONE) for move in ("finish", "give-up", "what-if")),
    *(("stash", "find", NONE), ("stash", "forget", "thread", NONE), ("stash", "reverse", NONE)),
    *(("stash", "import", "threads", NONE), ("stash", "import", "threads", "bad.csv")),
    *(("stash", "restore", NONE), ("stash", "join", NONE), ("stash", "near-fabric", NONE)),
    *(("stash", "export", NONE), ("stash", "learn", NONE), ("shop", "list", NONE)),
    *(("shop", "bought", "--only", NONE), ("palette", "check", NONE), (NONE,), ("help", NONE)),
)


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    rows = [f'"{EVIL}","{EVIL}",2,"{EVIL}","{EVIL}"', f"=1+1,@SUM(1),1,{FORMULA},-2"]
    lines = ["code,line,skeins,name,place", *rows]
    Path("threads.csv").write_text("\n".join(lines), encoding="utf-8")
    Path("bad.csv").write_text(f"code,skeins\n{EVIL},{EVIL}\n", encoding="utf-8")


def test_nothing_that_is_said_or_written_steers_anything(chartscan: Call) -> None:
    for call in BEGIN:
        said = chartscan(*call)
        assert said.status == 0, said.err
        assert not RAW.search(said.out + said.err), call
    for call in LOOKS:
        said = chartscan(*call)
        assert said.status == 0, (call, said.err)
        assert not RAW.search(said.out + said.err), call
    written = [*Path().glob("*.html"), *Path().glob("tables/*.csv"), Path("shop.csv")]
    assert len(written) > 15
    for path in written:
        text = path.read_text(encoding="utf-8")
        assert not RAW.search(text), path
        if path.suffix == ".csv":
            assert not re.search(r'(?m)(^|,)"?[=@]', text), path
    assert f"'{FORMULA}" in Path("tables/threads.csv").read_text(encoding="utf-8")


def test_no_error_steers_the_screen(chartscan: Call) -> None:
    for call in BEGIN:
        chartscan(*call)
    for call in ERRORS:
        said = chartscan(*call)
        assert said.out or said.err, call
        assert not RAW.search(said.out + said.err), call
        assert "Traceback" not in said.err
