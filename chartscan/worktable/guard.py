"""Who may come in: every request passes here before anything of it is looked at.

The attacks that are met here; all of them, each with its tests, stand in ``DEVELOPERS.md``:

=========================================  ========================================================
a name mapped to this machine              the exact Host, port included
a page of another server in the browser    a key that no browser sends by itself; the exact Origin;
                                           JSON or bytes only; Sec-Fetch-Site
another person on this machine             a key a start, in a file that only its owner may read
a key seen in the list of processes        it works once, and for a minute
script in a file's name or a symbol        escaping by default; a policy without inline script
too large a body                           refused by its length, before it is read
=========================================  ========================================================
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from werkzeug.exceptions import (
    Forbidden,
    MisdirectedRequest,
    RequestEntityTooLarge,
    UnsupportedMediaType,
)

if TYPE_CHECKING:
    from werkzeug.wrappers import Request, Response

    from chartscan.worktable.keys import Keys
    from chartscan.worktable.settings import WorktableSettings

Needs = Literal["nothing", "tab", "door"]

PAGE_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob:",
        "connect-src 'self'",
        "frame-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
        "require-trusted-types-for 'script'",
        "trusted-types fragment",
    )
)
# A paper is a page of its own with its style in it. It may not run a thing; that it keeps its
# origin lets the table's print button reach the frame it is shown in.
PAPER_POLICY = "; ".join(
    (
        "sandbox allow-same-origin allow-modals",
        "default-src 'none'",
        "style-src 'unsafe-inline'",
        "img-src data:",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'self'",
    )
)
HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": PAGE_POLICY,
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}
OWN_SITE = (None, "none", "same-origin")  # values of Sec-Fetch-Site; None is a program, no browser


class Guard:
    """Checks requests against the address that the table answers on."""

    def __init__(self, host: str, keys: Keys, settings: WorktableSettings) -> None:
        self._host = host
        self._origin = f"http://{host}"
        self._keys = keys
        self._settings = settings

    def admit(self, request: Request, needs: Needs, *, carries_file: bool = False) -> None:
        """Let ``request`` pass, or raise what it is refused with.

        Args:
            request: what came in.
            needs: which key it must show.
            carries_file: its body is the bytes of a file, not JSON.

        Raises:
            HTTPException: it may not pass: 403, 413, 415 or 421.
        """
        self.admit_address(request)
        if request.method == "POST":
            self._admit_body(request, carries_file)
        if needs == "tab" and not self._keys.is_tab(_shown(request, "Bearer")):
            raise Forbidden("no valid key")
        if needs == "door" and not self._keys.is_door(_shown(request, "Door")):
            raise Forbidden("no valid key")

    def admit_address(self, request: Request) -> None:
        """Refuse what was sent to another name, or by another page."""
        if request.environ.get("HTTP_HOST") != self._host:
            raise MisdirectedRequest()
        origin = request.headers.get("Origin")
        if origin not in (None, self._origin):
            raise Forbidden("another page sent this")
        if request.headers.get("Sec-Fetch-Site") not in OWN_SITE:
            raise Forbidden("another page sent this")

    def _admit_body(self, request: Request, carries_file: bool) -> None:
        by_browser = request.headers.get("Sec-Fetch-Site") is not None
        if by_browser and request.headers.get("Origin") != self._origin:
            raise Forbidden("no page said that it sent this")
        kind = "application/octet-stream" if carries_file else "application/json"
        if request.headers.get("Content-Type") != kind:
            raise UnsupportedMediaType()
        most = self._settings.most_file if carries_file else self._settings.most_json
        if (request.content_length or 0) > most:  # none told is none sent
            raise RequestEntityTooLarge()


def _shown(request: Request, scheme: str) -> str:
    """The key in the header Authorization; "" where none of that ``scheme`` is."""
    told, _, key = request.headers.get("Authorization", "").partition(" ")
    return key if told == scheme else ""


def seal(response: Response) -> None:
    """Put the headers on that tell the browser what the answer may do; set ones stay."""
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
