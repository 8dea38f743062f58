"""What a hostile page, file or name tries, in a real browser: nothing loads, nothing changes."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

import pytest

from chartscan.chart import ChartClass
from chartscan.tasks.projects import begin
from chartscan.worktable.app import App
from chartscan.worktable.server import address
from chartscan.worktable.shelf import Shelf
from chartscan.worktable.table import Table
from tests.worktable.browser import Browser, chromium
from tests.worktable.serving import serving, start
from tests.worktable.steps import go, quiet

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIEnvironment

pytestmark = pytest.mark.browser

SCRIPT = "<img src=x onerror=window.harmed=1><script>window.harmed=1</script>"

ATTACK = """
const table = arguments[0], key = arguments[1];
const found = {};
const seen = (path, how) => fetch(table + path, how).then(r => r.text());
const unseen = { method: 'POST', mode: 'no-cors' };
const json = { 'Content-Type': 'application/json' };
const tries = {
  fetched: () => seen('/words'),
  told: () => seen('/end', { method: 'POST', headers: json, body: '{}' }),
  posted: () => seen('/end', { ...unseen, body: '{}' }),
  dropped: () => seen('/drop/shelf/lay?name=a.png', { ...unseen, body: 'picture' }),
  keyed: () => seen('/key', { ...unseen, body: JSON.stringify({ key }) }),
};
for (const [name, attempt] of Object.entries(tries)) {
  found[name] = await attempt().then(() => 'came through', () => 'refused');
}
const loads = (tag, path) => new Promise(done => {
  const element = document.createElement(tag);
  element.onload = () => done('came through');
  element.onerror = () => done('refused');
  element.src = table + path;
  document.body.append(element);
});
found.image = await loads('img', '/static/icon.svg');
found.script = await loads('script', '/static/table.js');
const frame = document.createElement('iframe');
frame.src = table + '/';
document.body.append(frame);
await new Promise(done => { frame.onload = done; setTimeout(done, 2000); });
try { found.frame = frame.contentDocument === null ? 'refused' : 'came through'; }
catch { found.frame = 'refused'; }
return found;
"""


class _Hostile(BaseHTTPRequestHandler):
    """A page of another server, on whatever name it is called by."""

    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>another page</title><body>")

    def log_message(self, *_: Any) -> None:  # noqa: ANN401 - as its base has it
        """Say nothing."""


@contextmanager
def hostile_server() -> Iterator[int]:
    """The port of a server on this machine that isn't the table's."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), _Hostile)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        server.server_close()


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost", "evil.example"])
def test_no_other_page_loads_or_changes_a_thing(tmp_path: Path, name: str) -> None:
    mapped = "--host-resolver-rules=MAP evil.example 127.0.0.1"
    with (
        serving(tmp_path / "table") as served,
        hostile_server() as port,
        chromium(mapped) as browser,
    ):
        browser.open(f"http://{name}:{port}/")
        found = browser.run_async(ATTACK, f"http://{served.host}", served.key)
        opaque = {
            "posted",
            "dropped",
            "keyed",
        }  # such requests are sent; what they were told isn't seen
        assert {what: how for what, how in found.items() if what not in opaque} == {
            what: "refused" for what in found if what not in opaque
        }
        assert served.process.poll() is None
        assert Shelf(served.folder).all() == []
        # The key wasn't used up by the attack: the person's own page still gets in.
        browser.open(served.address)
        browser.find("#example")


def test_a_name_mapped_to_this_machine_shows_nothing(tmp_path: Path) -> None:
    mapped = "--host-resolver-rules=MAP evil.example 127.0.0.1"
    with serving(tmp_path / "table") as served, chromium(mapped) as browser:
        port = served.host.rpartition(":")[2]
        browser.open(f"http://evil.example:{port}/#key={served.key}")
        assert browser.run("return document.scripts.length") == 0
        assert "chartscan" not in browser.run("return document.body.textContent")


def test_another_server_on_this_machine_is_sent_no_cookie(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served, hostile_server() as port:
        browser.open(served.address)
        browser.find("#example")
        assert browser.run("return document.cookie") == ""
        assert browser.call("GET", "/cookie") == []
        browser.open(f"http://127.0.0.1:{port}/")
        assert browser.run("return [document.cookie, Object.keys(sessionStorage).length]") == [
            "",
            0,
        ]


def test_nothing_is_kept_in_the_browser_but_the_tabs_key(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.find("#example")
        kept = "return [Object.keys(sessionStorage), Object.keys(localStorage), location.hash]"
        assert browser.run(kept) == [["chartscan.key"], [], ""]
        browser.open("about:blank")
        browser.open(served.address)  # the key in the address a second time
        assert "was used" in browser.text(".note")


def test_hostile_names_are_only_ever_text(browser: Browser, example: tuple[Path, str]) -> None:
    folder, chart_id = example
    shelf = Shelf(folder)
    chart = shelf.chart(chart_id)
    named = tuple(_hostile(entry) for entry in chart.classes)
    shelf.change(
        chart_id,
        None,
        lambda kept: replace(kept, title=SCRIPT, warnings=(SCRIPT,)),
        replace(chart, classes=named, source={"file": SCRIPT}),
    )
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        for screen in ("shelf", "outline", "check", "threads", "fabric", "papers"):
            go(browser, screen, "" if screen == "shelf" else chart_id)
            assert browser.run("return window.harmed") is None
            assert SCRIPT in browser.run("return document.querySelector('#work').textContent")
        quiet(browser)


def _hostile(entry: ChartClass) -> ChartClass:
    named = SCRIPT if entry.kind == "stitch" else None
    return replace(entry, symbol=named, name=named)


def test_hostile_names_in_the_drawer_are_only_ever_text(browser: Browser, tmp_path: Path) -> None:
    """A project, its place, a notion and its unit, a dye lot, a fabric's colour, a range's name."""
    with serving(tmp_path / "table") as served:
        place = tmp_path / "table" / "stash.db"
        begin(place, SCRIPT, {"place": SCRIPT, "note": SCRIPT})
        browser.open(served.address)
        assert SCRIPT in browser.text("[data-project]")
        go(browser, "drawer")
        for act, told in HOSTILE_THINGS:
            browser.run_async(
                "const ask = await import('/static/ask.js');"
                "await ask.act('drawer', arguments[0], arguments[1])",
                act,
                told,
            )
        for part in ("threads", "fabrics", "notions", "projects", "past"):
            go(browser, "shelf")
            go(browser, "drawer")
            browser.click(f"[name=part][value={part}]")
            browser.wait(
                "return document.querySelector('#d-rows').textContent.includes(arguments[0])",
                SCRIPT[:60],
            )
            assert browser.run("return window.harmed") is None
            assert browser.run(INSERTED) == 0
        quiet(browser)


HOSTILE_THINGS = (
    ("add_thread", {"range": "meadowline", "code": "ROS1", "skeins": 1, "lot": SCRIPT}),
    (
        "add_fabric",
        {"count": 28, "width_cm": 30, "height_cm": 30, "colour": SCRIPT, "rgb": [9, 9, 9],
         "fibre": SCRIPT, "pieces": 1},
    ),
    ("add_notion", {"name": SCRIPT, "amount": 1, "unit": SCRIPT}),
)  # fmt: skip
INSERTED = "return document.querySelectorAll('#work script, #work img[src=x]').length"


def test_a_hostile_range_and_a_hostile_refusal_are_only_ever_text(
    browser: Browser, example: tuple[Path, str], tmp_path: Path
) -> None:
    folder, chart_id = example
    range_file = tmp_path / "range.csv"
    range_file.write_text(f'code,name,hex\nX1,"{SCRIPT}",#20527a\nX2,"{SCRIPT}",#989088\n')
    shelf = Shelf(folder)
    refused = shelf.add(SCRIPT)
    shelf.add_file(refused.id, ".png", SCRIPT, b"picture")
    shelf.change(refused.id, None, lambda kept: replace(kept, state="refused", refusal=SCRIPT))
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        go(browser, "outline", refused.id)
        assert SCRIPT in browser.text(".warn")
        go(browser, "threads", chart_id)
        browser.choose_file("#t-range-file", range_file)
        browser.wait(
            "return document.querySelector('.matches').textContent.includes(arguments[0])", SCRIPT
        )
        for screen in ("threads", "fabric", "papers", "shelf"):
            go(browser, screen, "" if screen == "shelf" else chart_id)
            assert browser.run("return window.harmed") is None
            assert browser.run(INSERTED) == 0
        quiet(browser)


def test_a_page_fetches_from_the_table_alone_and_says_so(
    browser: Browser, example: tuple[Path, str]
) -> None:
    folder, chart_id = example
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        for screen in ("outline", "check", "threads", "fabric", "papers"):
            go(browser, screen, chart_id)
        fetched = browser.run(
            "return performance.getEntriesByType('resource').map(entry => entry.name)"
        )
        assert len(fetched) > 20
        assert {urlsplit(name).netloc for name in fetched if name[:5] != "blob:"} == {served.host}
        assert browser.text(".foot p") == "Nothing leaves this computer."


def test_two_programs_show_one_table(browser: Browser, example: tuple[Path, str]) -> None:
    folder, _ = example
    with serving(folder) as first:
        second = start(folder)
        assert second.process.wait(20) == 0
        assert second.process.stderr is not None
        second.process.stderr.close()
        browser.open(first.address)
        browser.find(".card")
        browser.run("window.open(arguments[0])", second.address)
        (other,) = set(browser.call("GET", "/window/handles")) - {browser.call("GET", "/window")}
        browser.call("POST", "/window", {"handle": other})
        browser.find(".card")
        assert browser.run("return location.host") == first.host
        quiet(browser)


def test_a_hostile_file_name_is_only_ever_text(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.find("#example")
        browser.run_async(
            "const { take } = await import('/static/shelf.js');"
            "const file = new File(['rubbish'], arguments[0]);"
            "const go = (screen, chart) => { location.hash = `#/${screen}/${chart}` };"
            "await take([file], { go });",
            f"{SCRIPT}.png",
        )
        assert "isn't a picture" in browser.text(".warn")
        assert browser.run("return window.harmed") is None
        assert (
            browser.run("return document.querySelectorAll('#work script, #work img[src=x]').length")
            == 0
        )


def test_script_that_got_into_the_page_would_not_run(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.find("#example")
        browser.run(
            "try { const script = document.createElement('script');"
            "script.textContent = 'window.harmed = 1'; document.body.append(script) } catch {}"
        )
        browser.run("try { document.body.innerHTML += arguments[0] } catch {}", SCRIPT)
        assert browser.run("return window.harmed") is None


def test_a_paper_looks_right_and_runs_nothing(browser: Browser, table: Table) -> None:
    paper = (
        "<!doctype html><style>p{color:rgb(1,2,3)}</style><p>ready</p>"
        f"{SCRIPT}<a id=l href='javascript:top.harmed=1'>x</a>"
    )
    with served_here(table) as host:
        browser.open(address(host, table.keys.new_address_key()))
        browser.find("#example")
        found = browser.run_async(
            "const frame = document.createElement('iframe'); frame.src = arguments[0];"
            "document.body.append(frame); await new Promise(done => frame.onload = done);"
            "frame.contentDocument.querySelector('#l').click();"
            "await new Promise(done => setTimeout(done, 300));"
            "const inside = frame.contentDocument.querySelector('p');"
            "return { colour: getComputedStyle(inside).color, harmed: [window.harmed ?? null,"
            " frame.contentWindow.harmed ?? null], prints: typeof frame.contentWindow.print };",
            table.papers.lay(paper),
        )
    assert found == {"colour": "rgb(1, 2, 3)", "harmed": [None, None], "prints": "function"}


@contextmanager
def served_here(table: Table) -> Iterator[str]:
    """Host and port of ``table``, served by this process."""
    from werkzeug.serving import make_server

    def answer(environ: WSGIEnvironment, start: StartResponse) -> Iterable[bytes]:
        return app(environ, start)

    server = make_server("127.0.0.1", 0, answer, threaded=True)
    app = App(table, f"127.0.0.1:{server.port}", lambda: None)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"127.0.0.1:{server.port}"
    finally:
        server.shutdown()
        thread.join(5)
        server.server_close()


def test_a_chart_that_names_anothers_files_leads_nowhere(example: tuple[Path, str]) -> None:
    folder, chart_id = example
    card = folder / "charts" / chart_id / "card.json"
    told = json.loads(card.read_text())
    card.write_text(json.dumps({**told, "id": "../../elsewhere"}))
    assert Shelf(folder).all() == []
