"""What comes in as checked values, what goes out as responses."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from werkzeug.exceptions import BadRequest
from werkzeug.wrappers import Request, Response

from chartscan.entry import Entry
from chartscan.worktable.guard import PAPER_POLICY
from chartscan.worktable.screen import Asked, Shown


def body_of(request: Request) -> Asked:
    """The JSON object in the body; BadRequest where it isn't one."""
    try:
        told = json.loads(request.get_data(cache=False))
    except (ValueError, RecursionError) as error:
        raise BadRequest("that isn't JSON") from error
    if not isinstance(told, dict):
        raise BadRequest("that isn't a JSON object")
    return Asked(Entry(told))


def query_of(request: Request) -> Asked:
    """The query, each name once; all of it is text."""
    return Asked(Entry(request.args.to_dict()))


def json_answer(status: int, value: Mapping[str, Any]) -> Response:
    """``value`` as JSON."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    data = text.encode("utf-8", "replace")
    return Response(data, status, mimetype="application/json")


def refusal(status: int, words: str, **more: object) -> Response:
    """An error as the page shows it: one sentence, and what it needs besides."""
    return json_answer(status, {"error": words, **more})


def shown_answer(shown: Shown) -> Response:
    """The bytes of a look; a sealed one under a policy by which it runs nothing."""
    response = Response(shown.data, content_type=shown.kind)
    if shown.name:  # in the form that takes every letter (RFC 6266, 4.3; RFC 8187)
        named = f"attachment; filename*=UTF-8''{quote(shown.name, safe='')}"
        response.headers["Content-Disposition"] = named
    if shown.sealed:
        response.headers["Content-Security-Policy"] = PAPER_POLICY
    return response
