"""Every line of the table of attacks (``chartscan/worktable/guard.py``), without a browser."""

from __future__ import annotations

import http.client
import os
import stat
import time
from contextlib import closing
from pathlib import Path

import pytest

from chartscan.worktable.faults import Missing
from chartscan.worktable.guard import PAGE_POLICY
from chartscan.worktable.keys import Keys
from chartscan.worktable.papers import Papers
from chartscan.worktable.settings import WorktableSettings
from tests.worktable.conftest import HOST, Caller
from tests.worktable.serving import PATIENCE_S, ends_by_itself, serving, start
from tests.worktable.tab import Tab

WAYS = (
    ("GET", "/"),
    ("GET", "/static/table.js"),
    ("GET", "/words"),
    ("POST", "/key"),
    ("POST", "/door"),
    ("GET", "/screen/shelf"),
    ("POST", "/act/shelf/none"),
    ("GET", "/look/shelf/none"),
    ("POST", "/drop/shelf/none"),
    ("POST", "/end"),
)
KEYED = WAYS[5:]


@pytest.mark.parametrize(
    "host",
    ["localhost:4711", "127.0.0.1", "127.0.0.1:4712", "evil.example:4711", "[::1]:4711", ""],
)
@pytest.mark.parametrize(("method", "path"), WAYS)
def test_another_name_of_this_machine_is_refused(
    page: Caller, host: str, method: str, path: str
) -> None:
    answer = page.call(method, path, headers={"Host": host})
    assert answer.status_code == 421


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "http://127.0.0.1:4712", f"https://{HOST}", "null"]
)
@pytest.mark.parametrize(("method", "path"), WAYS)
def test_what_another_page_sends_is_refused(
    page: Caller, origin: str, method: str, path: str
) -> None:
    answer = page.call(method, path, headers={"Origin": origin})
    assert answer.status_code == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
@pytest.mark.parametrize(("method", "path"), WAYS)
def test_what_the_browser_marks_as_another_sites_is_refused(
    page: Caller, site: str, method: str, path: str
) -> None:
    answer = page.call(method, path, headers={"Sec-Fetch-Site": site, "Origin": None})
    assert answer.status_code == 403


@pytest.mark.parametrize("shown", [None, "", "Bearer", "Bearer wrong", "Basic x", "Door x"])
@pytest.mark.parametrize(("method", "path"), KEYED)
def test_without_the_key_of_a_tab_nothing_is_shown_or_done(
    page: Caller, shown: str | None, method: str, path: str
) -> None:
    kind = "application/octet-stream" if path.startswith("/drop") else "application/json"
    body = {} if method == "GET" else {"data": b"{}", "content_type": kind}
    answer = page.call(method, path, headers={"Authorization": shown}, **body)
    assert answer.status_code == 403
    assert not page.ended


def test_the_key_of_an_address_works_once(page: Caller) -> None:
    key = page.table.keys.new_address_key()
    first = page.call("POST", "/key", json={"key": key})
    second = page.call("POST", "/key", json={"key": key})
    assert (first.status_code, second.status_code) == (200, 403)
    assert first.json is not None
    assert first.json["key"] != key


def test_the_key_of_an_address_is_worth_nothing_after_its_minute() -> None:
    now = [0.0]
    keys = Keys(WorktableSettings(key_s=60), clock=lambda: now[0])
    early, late = keys.new_address_key(), keys.new_address_key()
    now[0] = 59.9
    assert keys.exchange(early)
    now[0] = 60.1
    assert keys.exchange(late) is None


def test_the_key_of_an_address_opens_nothing_by_itself(page: Caller) -> None:
    key = page.table.keys.new_address_key()
    shown = {"Authorization": f"Bearer {key}"}
    assert page.call("GET", "/screen/shelf", headers=shown).status_code == 403


def test_no_answer_sets_a_cookie_and_every_one_carries_the_policy(page: Caller) -> None:
    for method, path in WAYS:
        answer = page.call(method, path)
        assert "Set-Cookie" not in answer.headers
        assert answer.headers["Content-Security-Policy"] == PAGE_POLICY
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == "no-store"
        assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "unsafe" not in PAGE_POLICY


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", None]
)
def test_a_body_that_a_form_can_send_is_refused(page: Caller, kind: str | None) -> None:
    answer = page.call("POST", "/end", data=b"{}", content_type=kind)
    assert answer.status_code == 415
    assert not page.ended


def test_a_page_that_hides_its_origin_does_nothing(page: Caller) -> None:
    answer = page.call("POST", "/end", json={}, headers={"Origin": None})
    assert answer.status_code == 403
    assert not page.ended


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/..%2fapp.py",
        "/static/%2e%2e/%2e%2e/errors.py",
        "/static//etc/passwd",
        "/static/",
        "/look/shelf/picture?chart=../../etc",
        "/screen/outline?chart=..%2f..%2fetc",
        "/paper/../table.json",
    ],
)
def test_no_address_leads_to_a_file(page: Caller, path: str) -> None:
    answer = page.call("GET", path)
    assert answer.status_code in (400, 404, 308)
    assert b"root:" not in answer.data
    assert b"import" not in answer.data


def test_a_paper_is_fetched_once_runs_nothing_and_is_gone_after_its_minute() -> None:
    now = [0.0]
    papers = Papers(WorktableSettings(paper_s=60), clock=lambda: now[0])
    ticket = papers.lay("<p>").rpartition("/")[2]
    assert papers.take(ticket) == "<p>"
    with pytest.raises(Missing):
        papers.take(ticket)
    late = papers.lay("<p>").rpartition("/")[2]
    now[0] = 61
    with pytest.raises(Missing):
        papers.take(late)


def test_a_paper_is_sealed(page: Caller) -> None:
    path = page.table.papers.lay("<script>alert(1)</script>")
    answer = page.call("GET", path, headers={"Authorization": None})
    policy = answer.headers["Content-Security-Policy"]
    assert answer.status_code == 200
    assert "sandbox" in policy
    assert "allow-scripts" not in policy
    assert "script-src" not in policy
    assert "default-src 'none'" in policy


# ------------------------------------------------------------------- as a process


def test_a_body_over_the_limit_is_refused_before_it_is_read(tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        connection = http.client.HTTPConnection(served.host, timeout=PATIENCE_S)
        connection.putrequest("POST", "/drop/shelf/lay")
        connection.putheader("Content-Type", "application/octet-stream")
        connection.putheader("Content-Length", str(81_000_000))
        connection.endheaders()
        assert connection.getresponse().status == 413
        connection.close()


def test_only_its_owner_may_read_the_key_of_a_start(tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        Tab(served)  # it answers: its folders are made
        mode = stat.S_IMODE((served.folder / "table.json").stat().st_mode)
        assert mode == 0o600
        assert stat.S_IMODE((served.folder / "charts").stat().st_mode) == 0o700
    assert not (tmp_path / "table" / "table.json").exists()


def test_a_second_start_opens_the_page_of_the_first(tmp_path: Path) -> None:
    with serving(tmp_path / "table") as first:
        second = start(first.folder)
        assert second.process.wait(10) == 0
        assert second.host == first.host
        assert second.key != first.key
        assert _let_in(second.host, second.key) == 200
        assert second.process.stderr is not None
        second.process.stderr.close()


def test_two_folders_have_two_tables(tmp_path: Path) -> None:
    with serving(tmp_path / "one") as one, serving(tmp_path / "two") as two:
        assert one.host != two.host
        assert _let_in(one.host, two.key) == 403


def test_ctrl_c_ends_it_with_status_130_and_gives_the_lock_back(tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        pass
    assert served.process.returncode == 130
    with serving(tmp_path / "table"):
        pass


def test_it_ends_when_the_system_tells_it_to(tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        Tab(served)  # it answers: all is loaded
        served.process.terminate()
        assert ends_by_itself(served.process)
        assert served.process.returncode == 0


def test_it_listens_on_loopback_only(tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        port = int(served.host.rpartition(":")[2])
        assert _listening(port) == {"0100007F"}  # 127.0.0.1 as /proc writes it


def _listening(port: int) -> set[str]:
    """Addresses with a listening socket on ``port``, as Linux lists them."""
    found = set()
    for name in ("/proc/net/tcp", "/proc/net/tcp6"):
        if not os.path.exists(name):  # noqa: PTH110 - /proc, as a string
            pytest.skip("the list of sockets is Linux's own")
        for line in Path(name).read_text().splitlines()[1:]:
            local, state = line.split()[1], line.split()[3]
            address, number = local.split(":")
            if state == "0A" and int(number, 16) == port:
                found.add(address)
    return found


def _let_in(host: str, key: str) -> int:
    connection = http.client.HTTPConnection(host, timeout=PATIENCE_S)
    body = f'{{"key": "{key}"}}'
    with closing(connection):
        connection.request("POST", "/key", body, {"Content-Type": "application/json"})
        return connection.getresponse().status


def test_a_table_that_nobody_uses_ends_by_itself(tmp_path: Path) -> None:
    from chartscan.worktable.server import run

    begun = time.monotonic()
    assert run(tmp_path, lambda address: None, settings=WorktableSettings(idle_s=0.2))
    assert time.monotonic() - begun < WorktableSettings().idle_s
