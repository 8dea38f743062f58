"""The README holds what it promises: every command in it runs, every picture and file is there."""

from __future__ import annotations

import os
import re
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from chartscan import errors
from chartscan.cli.commands import COMMANDS
from tests.cli.calling import parse

if TYPE_CHECKING:
    from tests.cli.conftest import Call

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def _commands(language: str) -> Iterator[list[str]]:
    """The words of every ``chartscan`` command in the README's blocks of ``language``, in order.

    Those in ``sh`` blocks run as they stand; those in ``shell`` blocks need files of the reader's.
    """
    return (words[1:] for words in _lines(language) if words[0] == "chartscan")


def _lines(language: str) -> Iterator[list[str]]:
    """The words of every line in the README's blocks of ``language``."""
    for block in re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL):
        for line in block.replace("\\\n", " ").splitlines():
            if words := shlex.split(line, comments=True):
                yield words


def test_every_command_in_the_readme_runs_as_it_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, chartscan: Call
) -> None:
    """In order, in one folder that holds the example, with a data folder of its own."""
    shutil.copytree(ROOT / "examples", tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "data"))
    for name in ("CHARTSCAN_STASH", "CHARTSCAN_USAGE"):
        monkeypatch.delenv(name, raising=False)
    for words in _lines("sh"):
        if words[0] == "export":
            for setting in words[1:]:
                name, _, value = setting.partition("=")
                monkeypatch.setenv(name, value.replace("$PWD", str(tmp_path)))
        if words[0] != "chartscan":
            continue
        assert "CHARTSCAN_STASH" in os.environ, "set before anything is run"
        words, target = _redirected(words[1:])
        result = chartscan(*words)
        assert result.status == 0, f"chartscan {shlex.join(words)}: {result.err}"
        if target:
            (tmp_path / target).write_text(result.out, encoding="utf-8")
        if words[:2] == ["usage", "add"]:
            share = re.search(r"(\d+) % of what was estimated", result.out)
            assert share is not None
            assert 80 <= int(share[1]) <= 130, "what may happen to a stitcher"
    assert {"stash.db", "usage.json"} <= {path.name for path in tmp_path.iterdir()}
    left = [path.name for folder in ("data", "home") for path in (tmp_path / folder).rglob("*")]
    assert left == [], "the tour books into the reader's own data"


def _redirected(words: list[str]) -> tuple[list[str], str]:
    """A command, and the file that ``>`` sends its output to, or ""."""
    if ">" not in words:
        return words, ""
    at = words.index(">")
    return words[:at], words[at + 1]


def test_every_other_command_in_the_readme_is_called_rightly() -> None:
    commands = list(_commands("shell"))
    assert commands
    for words in commands:
        parse(words)


def test_every_command_has_its_place_in_the_readme() -> None:
    shown = {words[0] for language in ("sh", "shell") for words in _commands(language)}
    assert sorted(set(COMMANDS) - shown) == []


def test_every_file_that_documents_point_to_is_there() -> None:
    for document in ("README.md", "DEVELOPERS.md", "CHANGELOG.md", "tests/README.md"):
        text = (ROOT / document).read_text(encoding="utf-8")
        targets = re.findall(r"\]\((?!https?:|#)([^)\s]+)\)", text)
        targets += re.findall(r"`((?:examples|tests|chartscan|palettes|\.ci)/[\w./-]+)`", text)
        missing = [t for t in targets if not (ROOT / t).exists() and t != "examples/out/"]
        assert missing == [], document


def test_pictures_are_small() -> None:
    for path in (ROOT / "examples").rglob("*.png"):
        if "out" not in path.relative_to(ROOT).parts:
            assert path.stat().st_size < 200_000, path


def test_exit_statuses_are_promised_in_a_table() -> None:
    rows = dict(re.findall(r"^\| (\d+) \| (.+?) \|$", README, re.MULTILINE))
    family = [value for value in vars(errors).values() if isinstance(value, type)]
    statuses = {kind.exit_status for kind in family if issubclass(kind, errors.ChartscanError)}
    assert {0, 2, errors.INTERRUPTED} | statuses == {int(status) for status in rows}


def test_the_changelog_is_in_the_usual_form() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    assert re.search(r"^## \[(Unreleased|\d+\.\d+\.\d+)\]", text, re.MULTILINE)
    headings = set(re.findall(r"^### (.+)$", text, re.MULTILINE))
    assert headings <= {"Added", "Changed", "Deprecated", "Removed", "Fixed", "Security"}
