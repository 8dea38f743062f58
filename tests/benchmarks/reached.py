"""Which tests reach which lines of the program, so that a change is tried by these alone.

As a plugin of pytest (``-p tests.benchmarks.reached``, run by ``coverage run``) this tells coverage
which test is at work. What fixtures run counts for every test of the file, since they share it;
what is run while modules are loaded counts for all tests of a room.
"""

from __future__ import annotations

import ast
import json
import os
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest
from coverage import Coverage, CoverageData

TOLD = "CHARTSCAN_SECONDS_OF_TESTS"  # the file that the plugin writes
_seconds: dict[str, float] = {}


@dataclass(frozen=True)
class Reach:
    """What the tests of a room reach.

    Attributes:
        lines: for each file, from the project's root, and line, from 1: the tests that run it, by
            their names; files of tests where a fixture does.
        seconds: processor time of each test and file of tests, as long as the lines were watched.
    """

    lines: Mapping[Path, Mapping[int, frozenset[str]]]
    seconds: Mapping[str, float]

    @property
    def files(self) -> list[str]:
        """Files of tests, the quickest first."""
        return sorted((t for t in self.seconds if "::" not in t), key=self.seconds.__getitem__)

    def tests_of(self, file: Path, line: int, source: str) -> list[str]:
        """The tests that reach a line, the quickest first; none where no test does."""
        of_line = self.lines.get(file, {})
        found = frozenset(name for at in _statement(source, line) for name in of_line.get(at, ()))
        if "" in found:  # loaded, not called: whoever uses what is said there may notice
            return self.files
        whole = {name for name in found if "::" not in name}
        parts = {name for name in found if "::" in name and name.split("::")[0] not in whole}
        return sorted(whole | parts, key=lambda name: self.seconds.get(name, 0.0))


def _statement(source: str, line: int) -> Iterable[int]:
    """The lines of the smallest statement that holds ``line``, or of its head if it has a body."""
    around = [
        node
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or node.lineno)
    ]
    if not around:
        return (line,)
    inmost = min(around, key=lambda node: (node.end_lineno or node.lineno) - node.lineno)
    body = getattr(inmost, "body", None)
    end = body[0].lineno - 1 if body else inmost.end_lineno or inmost.lineno
    return range(inmost.lineno, max(inmost.lineno, end) + 1)


def load_reach(root: Path, data: Path, seconds: Path) -> Reach:
    """What ``coverage run`` with this plugin left behind."""
    told = CoverageData(str(data))
    told.read()
    lines = {}
    for name in told.measured_files():
        by_line = told.contexts_by_lineno(name)
        lines[Path(name).resolve().relative_to(root.resolve())] = {
            line: frozenset(by_line[line]) for line in by_line
        }
    return Reach(lines, json.loads(seconds.read_text(encoding="utf-8")))


# ---------------------------------------------------------------------------- the plugin


def _at_work(name: str) -> None:
    watching = Coverage.current()
    if watching is not None:
        watching.switch_context(name)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> object:
    """What a test and its fixtures take, told to the test and to its file."""
    begun = time.process_time()
    result = yield
    taken = time.process_time() - begun
    for name in (_name(item), item.nodeid.split("::")[0]):
        _seconds[name] = _seconds.get(name, 0.0) + taken
    return result


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Fixtures are the file's."""
    _at_work(item.nodeid.split("::")[0])


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_call(item: pytest.Item) -> None:
    """A test is its own, all of its parameters together."""
    _at_work(_name(item))


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_teardown(item: pytest.Item) -> None:
    """Fixtures again."""
    _at_work(item.nodeid.split("::")[0])


def pytest_sessionfinish() -> None:
    """Write what each took."""
    if to := os.environ.get(TOLD):
        Path(to).write_text(json.dumps(_seconds), encoding="utf-8")


def _name(item: pytest.Item) -> str:
    return item.nodeid.split("[")[0]
