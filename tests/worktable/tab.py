"""A tab of a table that runs as a process, over a socket and without a browser."""

from __future__ import annotations

import http.client
import json
import time
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from tests.worktable.serving import Served

PATIENCE_S = 180.0


class Tab:
    """What a page of the table sends."""

    def __init__(self, served: Served) -> None:
        self._host = served.host
        self._key = ""
        self._key = self.send("POST", "/key", {"key": served.key})["key"]

    def send(self, method: str, path: str, body: object = None) -> Any:  # noqa: ANN401 - JSON
        """One request, which must be answered well; its JSON."""
        sent = body if isinstance(body, bytes) else json.dumps(body).encode()
        kind = "application/octet-stream" if isinstance(body, bytes) else "application/json"
        headers = {"Authorization": f"Bearer {self._key}", "Content-Type": kind}
        connection = http.client.HTTPConnection(self._host, timeout=PATIENCE_S)
        try:
            connection.request(method, path, None if body is None else sent, headers)
            answer = connection.getresponse()
            data = answer.read()
        finally:
            connection.close()
        assert answer.status == 200, data
        return json.loads(data)

    def drop(self, path: Path) -> str:
        """Drop a file on the shelf; the id of its chart."""
        query = urlencode({"name": path.name})
        return str(self.send("POST", f"/drop/shelf/lay?{query}", path.read_bytes())["chart"])

    def state(self, chart: str) -> dict[str, Any]:
        """How a chart stands."""
        told: dict[str, Any] = self.send("GET", f"/look/outline/state?chart={chart}")
        return told

    def settled(self, chart: str) -> dict[str, Any]:
        """How a chart stands once it is read or refused."""
        ends = time.monotonic() + PATIENCE_S
        while (told := self.state(chart))["state"] not in ("read", "refused"):
            assert time.monotonic() < ends, told
            time.sleep(0.1)
        return told
