"""Serving the table: one lock, one loopback socket, and an orderly end."""

from __future__ import annotations

import json
import signal
import socket
import threading
import time
import urllib.request
from collections.abc import Callable
from contextlib import closing
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from chartscan.errors import OutputError
from chartscan.worktable.keys import Keys
from chartscan.worktable.lock import Card, held, read_card, write_card
from chartscan.worktable.settings import DEFAULTS, WorktableSettings

if TYPE_CHECKING:
    from waitress.server import BaseWSGIServer

    from chartscan.worktable.app import App
    from chartscan.worktable.reader import Reader
    from chartscan.worktable.table import Table

LOOK_S = 0.5  # between two looks at whether it is idle; Ctrl-C is met at once
ANSWER_S = 1.0  # that answers under way get when the table ends
ASK_S = 3.0  # seconds that a second start waits for the first to answer

Open = Callable[[str], None]


def run(
    folder: Path,
    open_page: Open,
    *,
    stash: Path | None = None,
    catalogue: Path | None = None,
    settings: WorktableSettings = DEFAULTS,
) -> bool:
    """Serve the table of ``folder`` until it is ended; ``open_page`` gets its address.

    Where a table runs on that folder already, its page is opened instead.

    Args:
        folder: where its charts lie.
        open_page: opens an address in the browser, or says it.
        stash: where the ledger lies; None for the person's own.
        catalogue: of an archive, to look through; None for none.
        settings: limits and waiting times.

    Returns:
        Whether this process served; False where another one does.

    Raises:
        OutputError: the folder can't be used, or the table that holds it doesn't answer.
    """
    try:
        with held(folder) as ours:
            if not ours:
                open_page(_address_of_other(folder))
                return False
            _serve(folder, open_page, stash, catalogue, settings)
            return True
    except OSError as error:
        why = error.strerror or error
        raise OutputError(f"{folder}: the worktable can't keep its charts here ({why})") from error


def _serve(
    folder: Path,
    open_page: Open,
    stash: Path | None,
    catalogue: Path | None,
    settings: WorktableSettings,
) -> None:
    """Listen, open the page, and only then load what answers it.

    A browser takes as long to start as that does; its first request waits meanwhile.
    """
    for name in ("werkzeug", "waitress"):  # known before a page is opened
        if find_spec(name) is None:
            raise ModuleNotFoundError(f"no module {name}", name=name)
    ended = threading.Event()
    keys = Keys(settings)

    def lay(reader: Reader) -> Table:
        from chartscan.worktable.shelf import Shelf
        from chartscan.worktable.table import Table

        return Table(Shelf(folder), reader, stash, settings, keys, catalogue=catalogue)

    with socket.create_server((settings.host, settings.port)) as listening:
        host = f"{settings.host}:{listening.getsockname()[1]}"
        _end_when_told(ended)
        write_card(folder, Card(host, keys.door))
        where = address(host, keys.new_address_key())
        # In a thread of its own: a browser in a terminal returns when it is left.
        threading.Thread(target=open_page, args=(where,), name="page", daemon=True).start()
        _answer(listening, host, lay, settings, ended)


def _answer(
    listening: socket.socket,
    host: str,
    lay: Callable[[Reader], Table],
    settings: WorktableSettings,
    ended: threading.Event,
) -> None:
    """Answer what comes in at ``listening`` until the table is ``ended``."""
    from waitress.server import create_server

    from chartscan.worktable.app import App
    from chartscan.worktable.reader import Reader

    with closing(Reader(settings.most_memory)) as reader:
        table = lay(reader)
        app = App(table, host, ended.set)
        server = create_server(
            app,
            sockets=[listening],
            threads=settings.threads,
            max_request_body_size=settings.most_file,
            ident="",
        )
        thread = threading.Thread(target=server.run, name="server", daemon=True)
        thread.start()
        try:
            _wait(app, reader, ended, settings)
        finally:
            _close(server, thread)


def _close(server: BaseWSGIServer, thread: threading.Thread) -> None:
    """Answer what is being answered, then close every socket in the thread that they belong to."""

    def close_all() -> None:
        for channel in list(server.active_channels.values()):
            channel.handle_close()
        server.close()

    server.task_dispatcher.shutdown(timeout=ANSWER_S)
    server.trigger.pull_trigger(close_all)
    thread.join(timeout=ANSWER_S)


def _end_when_told(ended: threading.Event) -> None:
    """End in an orderly way when the system says so (log-out, shutdown, ``kill``)."""
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, lambda *_: ended.set())


def _wait(app: App, reader: Reader, ended: threading.Event, settings: WorktableSettings) -> None:
    """Return once the button was pressed, or nobody asked for anything and nothing was read."""
    while not ended.wait(LOOK_S):
        if reader.busy:
            app.last_asked = time.monotonic()
        if time.monotonic() - app.last_asked > settings.idle_s:
            return


def address(host: str, key: str) -> str:
    """The address to open: the key stands in the fragment, which no browser sends."""
    return f"http://{host}/#key={key}"


def _address_of_other(folder: Path) -> str:
    """An address, with a key for it, of the table that holds the lock."""
    for _ in range(int(ASK_S / LOOK_S)):
        card = read_card(folder)  # it may be starting just now
        if card is not None:
            try:
                return address(card.host, _ask_key(card))
            except (OSError, ValueError, LookupError):
                pass
        time.sleep(LOOK_S)
    raise OutputError(
        f"{folder}: another worktable holds these charts, but doesn't answer; end it, or wait a bit"
    )


def _ask_key(card: Card) -> str:
    request = urllib.request.Request(
        f"http://{card.host}/door",
        data=b"{}",
        headers={"Authorization": f"Door {card.door}", "Content-Type": "application/json"},
    )
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))  # never by a proxy
    with opener.open(request, timeout=ASK_S) as answer:
        return str(json.loads(answer.read())["key"])
