"""The road of a request: guard, screen, answer; the one place where errors become answers."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from werkzeug.exceptions import HTTPException, NotFound, RequestEntityTooLarge
from werkzeug.routing import Map, Rule
from werkzeug.wrappers import Request, Response

from chartscan.errors import ChartscanError
from chartscan.worktable.answers import body_of, json_answer, query_of, refusal, shown_answer
from chartscan.worktable.faults import Missing, Stale
from chartscan.worktable.guard import Guard, Needs, seal
from chartscan.worktable.page import fill, make_environment
from chartscan.worktable.screen import Asked, Screen, Shown
from chartscan.worktable.screens import load_screens
from chartscan.worktable.static_files import load_static
from chartscan.worktable.words import FALLBACK, Said, languages, load_words

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIEnvironment

    from chartscan.worktable.table import Table

log = logging.getLogger(__name__)

Handler = Callable[..., Response]  # of the request and what stands in its path


@dataclass(frozen=True)
class _Way:
    """One address: its ``method``, the key that it ``needs``, and what answers it."""

    path: str
    method: str
    needs: Needs
    answer: Handler
    carries_file: bool = False


class App:
    """The table as a WSGI application.

    Attributes:
        last_asked: when a page with a key last asked for something, on the monotonic clock.
    """

    def __init__(self, table: Table, host: str, end: Callable[[], None]) -> None:
        self._table = table
        self._guard = Guard(host, table.keys, table.settings)
        self._end = end
        self._screens = load_screens()
        self._files = load_static()
        self._environment = make_environment()
        self._languages = {code: load_words(code) for code in languages()}
        self._ways = self._list_ways()
        self._map = Map(
            [Rule(w.path, endpoint=i, methods=[w.method]) for i, w in enumerate(self._ways)]
        )
        self.last_asked = time.monotonic()

    def _list_ways(self) -> list[_Way]:
        """Every address there is. What needs no key holds nothing of the person's."""
        return [
            _Way("/", "GET", "nothing", self._page),
            _Way("/static/<name>", "GET", "nothing", self._file),
            _Way("/words", "GET", "nothing", self._words),
            _Way("/key", "POST", "nothing", self._key),
            _Way("/paper/<ticket>", "GET", "nothing", self._paper),  # its address is its key
            _Way("/door", "POST", "door", self._door),
            _Way("/screen/<name>", "GET", "tab", self._screen),
            _Way("/act/<name>/<act>", "POST", "tab", self._act),
            _Way("/look/<name>/<look>", "GET", "tab", self._look),
            _Way("/drop/<name>/<act>", "POST", "tab", self._drop, carries_file=True),
            _Way("/end", "POST", "tab", self._leave),
        ]

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        """Answer one request."""
        request = Request(environ)
        try:
            response = self._answer(request)
        except RequestEntityTooLarge:
            response = refusal(413, self._said(request)("table.large"))
        except HTTPException as error:
            response = refusal(error.code or 500, error.description or error.name)
        except MemoryError:
            response = refusal(507, self._said(request)("table.memory"))
        except Exception:
            log.exception("a fault of the table's own")
            response = refusal(500, self._said(request)("table.fault"))
        seal(response)
        return response(environ, start_response)

    def _answer(self, request: Request) -> Response:
        self._guard.admit_address(request)
        number, values = self._map.bind_to_environ(request.environ).match()
        way: _Way = self._ways[number]
        self._guard.admit(request, way.needs, carries_file=way.carries_file)
        if way.needs == "tab":
            self.last_asked = time.monotonic()
        try:
            return way.answer(request, **values)
        except Missing:
            return refusal(404, self._said(request)("table.missing"))
        except Stale as stale:
            return refusal(409, self._said(request)("table.stale"), version=stale.version)
        except ChartscanError as error:
            return refusal(422, self._worded(request, error))
        except ValueError as error:
            return refusal(400, str(error))

    # ------------------------------------------------------------------ without a key

    def _page(self, request: Request) -> Response:
        said = self._said(request)
        html = fill(
            self._environment,
            said,
            "table.html.j2",
            screens=[s for s in self._screens.values() if s.is_there(self._table)],
            language=self._language(request),
        )
        return Response(html, mimetype="text/html")

    def _file(self, request: Request, name: str) -> Response:
        if name not in self._files:
            raise NotFound()
        data, kind = self._files[name]
        return Response(data, content_type=kind)

    def _words(self, request: Request) -> Response:
        return json_answer(200, self._languages[self._language(request)])

    def _key(self, request: Request) -> Response:
        tab = self._table.keys.exchange(body_of(request).text("key"))
        if tab is None:
            return refusal(403, self._said(request)("table.key"))
        return json_answer(200, {"key": tab})

    def _paper(self, request: Request, ticket: str) -> Response:
        html = self._table.papers.take(ticket)
        return shown_answer(Shown(html.encode(), "text/html; charset=utf-8", sealed=True))

    def _door(self, request: Request) -> Response:
        return json_answer(200, {"key": self._table.keys.new_address_key()})

    # --------------------------------------------------------------------- with a key

    def _screen(self, request: Request, name: str) -> Response:
        values = self._find(name).show(self._table, query_of(request))
        html = fill(self._environment, self._said(request), f"{name}.html.j2", **values)
        return Response(html, mimetype="text/html")

    def _act(self, request: Request, name: str, act: str) -> Response:
        acts = self._find(name).acts
        if act not in acts:
            raise NotFound()
        return json_answer(200, acts[act](self._table, body_of(request)))

    def _look(self, request: Request, name: str, look: str) -> Response:
        looks = self._find(name).looks
        if look not in looks:
            raise NotFound()
        return shown_answer(looks[look](self._table, query_of(request)))

    def _drop(self, request: Request, name: str, act: str) -> Response:
        acts = self._find(name).acts
        if act not in acts:
            raise NotFound()
        asked = Asked(query_of(request).told, request.get_data(cache=False))
        return json_answer(200, acts[act](self._table, asked))

    def _leave(self, request: Request) -> Response:
        self._end()
        return json_answer(200, {})

    # ------------------------------------------------------------------------- helpers

    def _find(self, name: str) -> Screen:
        if name not in self._screens:
            raise NotFound()
        return self._screens[name]

    def _worded(self, request: Request, error: ChartscanError) -> str:
        """A refusal and what can be done about it here, as one text."""
        said = self._said(request)
        ways = [*filter(None, (said(f"remedy.{remedy}") for remedy in error.remedies))]
        reason = " ".join(str(error).split())
        return " ".join([f"{reason.rstrip('.')}.", *ways]) if ways else reason

    def _language(self, request: Request) -> str:
        return request.accept_languages.best_match(self._languages, FALLBACK) or FALLBACK

    def _said(self, request: Request) -> Said:
        return Said(self._languages[self._language(request)])
