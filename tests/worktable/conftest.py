"""The table inside this process, without a socket."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from werkzeug.test import Client, TestResponse

from chartscan.worktable.app import App
from chartscan.worktable.shelf import Shelf
from chartscan.worktable.table import Table

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

    def look(self, name: str, look: str, /, **query: object) -> TestResponse:
        """A look."""
        told = {key: str(value) for key, value in query.items()}
        return self.call("GET", f"/look/{name}/{look}", query_string=told)

    def act(self, name: str, act: str, /, **told: object) -> TestResponse:
        """An act."""
        return self.call("POST", f"/act/{name}/{act}", json=told)

    def drop(self, name: str, act: str, data: bytes, /, **query: str) -> TestResponse:
        """A file."""
        kind = {"content_type": "application/octet-stream"}
        return self.call("POST", f"/drop/{name}/{act}", data=data, query_string=query, **kind)


@pytest.fixture
def table(tmp_path: Path) -> Table:
    """An empty table with a ledger of its own (which isn't there yet)."""
    return Table(Shelf(tmp_path / "table"), stash=tmp_path / "stash.db")


@pytest.fixture
def page(table: Table) -> Caller:
    """A page with a key, on :func:`table`."""
    ended: list[bool] = []
    app = App(table, HOST, lambda: ended.append(True))
    caller = Caller(table, app, ended)
    caller.key = table.keys.exchange(table.keys.new_address_key()) or ""
    return caller
