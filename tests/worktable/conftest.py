"""The table inside this process, without a socket."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from werkzeug.test import Client, TestResponse

from chartscan.worktable.app import App
from chartscan.worktable.reader import Reader
from chartscan.worktable.settings import DEFAULTS
from chartscan.worktable.shelf import Shelf
from chartscan.worktable.table import Table
from tests.worktable.browser import Browser, chromium, missing_browser
from tests.worktable.making import EXAMPLE, lay_out

NEEDED = "CHARTSCAN_NEEDS_BROWSER"  # set: a browser that is missing is a failure
HOST = "127.0.0.1:4711"


@dataclass
class Caller:
    """A page that was let in, as the browser's requests look.

    Attributes:
        table: what lies on it.
        app: the application.
        ended: filled when the table was told to end.
    """

    table: Table
    app: App
    ended: list[bool] = field(default_factory=list)
    key: str = ""

    def call(self, method: str, path: str, **more: Any) -> TestResponse:  # noqa: ANN401 - as the client takes them
        """One request with the key of a tab; headers that are told come on top."""
        headers = {
            "Host": HOST,
            "Origin": f"http://{HOST}",
            "Sec-Fetch-Site": "same-origin",
            "Authorization": f"Bearer {self.key}",
            **more.pop("headers", {}),
        }
        kept = {name: value for name, value in headers.items() if value is not None}
        return Client(self.app).open(path, method=method, headers=kept, **more)

    def screen(self, name: str, /, **query: str) -> TestResponse:
        """A screen's fragment."""
        return self.call("GET", f"/screen/{name}", query_string=query)

    def look(self, screen: str, look: str, /, **query: object) -> TestResponse:
        """A look."""
        told = {key: str(value) for key, value in query.items()}
        return self.call("GET", f"/look/{screen}/{look}", query_string=told)

    def act(self, screen: str, act: str, /, **told: object) -> TestResponse:
        """An act."""
        return self.call("POST", f"/act/{screen}/{act}", json=told)

    def drop(self, screen: str, act: str, data: bytes, /, **query: str) -> TestResponse:
        """A file."""
        kind = {"content_type": "application/octet-stream"}
        return self.call("POST", f"/drop/{screen}/{act}", data=data, query_string=query, **kind)


@pytest.fixture
def table(tmp_path: Path) -> Iterator[Table]:
    """An empty table with a ledger of its own (which isn't there yet)."""
    with closing(Reader(DEFAULTS.most_memory)) as reader:
        yield Table(Shelf(tmp_path / "table"), reader, stash=tmp_path / "stash.db")


@pytest.fixture
def page(table: Table) -> Caller:
    """A page with a key, on :func:`table`."""
    ended: list[bool] = []
    app = App(table, HOST, lambda: ended.append(True))
    caller = Caller(table, app, ended)
    caller.key = table.keys.exchange(table.keys.new_address_key()) or ""
    return caller


# ------------------------------------------------------------------- a real browser


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Skip tests of the browser where there is none; fail them where one is required."""
    if item.get_closest_marker("browser") is None:
        return
    lacking = missing_browser()
    if lacking and os.environ.get(NEEDED):
        pytest.fail(f"{NEEDED} is set, but {lacking}")
    if lacking:
        pytest.skip(lacking)


@pytest.fixture(scope="session")
def read_example(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A folder in which the example is read, and its id; to be copied."""
    folder = tmp_path_factory.mktemp("example")
    return folder, lay_out(folder, EXAMPLE)


@pytest.fixture
def example(read_example: tuple[Path, str], tmp_path: Path) -> tuple[Path, str]:
    """A folder of one's own in which the example is read, and its id."""
    folder = tmp_path / "table"
    shutil.copytree(read_example[0], folder)
    return folder, read_example[1]


@pytest.fixture
def browser() -> Iterator[Browser]:
    """A Chromium window of 1280 × 800."""
    with chromium() as window:
        window.size(1280, 800)
        yield window
