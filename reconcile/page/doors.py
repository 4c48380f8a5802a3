"""Who is let in: this machine, by the address that was opened, from our own pages, with forms of ours.

The page listens on the loopback address alone. Whatever runs on the machine could still ask it, and so could
any web site that is open in the same browser. Hence, of every request:

- Host names us: a site that had its own name point to this machine (rebinding) has another Host.
- A cookie holds what only the address with the key gives; HttpOnly, and never sent from another site.
- What changes anything is a POST from one of our pages (Origin), with the token that our forms hold.
- No more than so many bytes are taken in.
"""

import hmac
import secrets
from collections.abc import Iterable
from dataclasses import dataclass, field
from html import escape

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HOST = "127.0.0.1"
MOST_BYTES = 8_000_000
"""Of a request's body: an answer of a supplier has a few thousand."""
LONGEST_ADDRESS = 8_000
READS, WRITES = ("GET", "HEAD"), ("POST",)
OTHER_HOST = "This page answers only under the address that reconcile said."
OTHER_PAGE = "This comes from another page than this one. Nothing was done."
NO_PAGE = "Nothing says that this comes from this page. Nothing was done."
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    # Not no-store: a browser that goes back must still have what was typed.
    "Cache-Control": "private, no-cache",
}
"""On every answer. With a referrer policy stricter than this, browsers send no Origin with a form."""


class TooMuch(Exception):
    """The body of a request is longer than any that our forms send."""


@dataclass(frozen=True, slots=True)
class Keys:
    """What one run of the page knows of its own, and nobody else can guess."""

    port: int
    key: str = field(default_factory=lambda: secrets.token_urlsafe(24), repr=False)
    """In the address that is opened."""
    ticket: str = field(default_factory=lambda: secrets.token_urlsafe(24), repr=False)
    """In the cookie."""
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24), repr=False)
    """In every form."""

    @property
    def origin(self) -> str:
        return f"http://{HOST}:{self.port}"

    @property
    def address(self) -> str:
        """What is opened, or typed."""
        return f"{self.origin}/?key={self.key}"

    @property
    def cookie(self) -> str:
        """Its name: cookies know no ports, and two workshops may be open."""
        return f"reconcile-{self.port}"


class Doors:
    """Stands before the whole application. Whoever is not let in learns nothing of the workshop."""

    def __init__(self, app: ASGIApp, keys: Keys, most: int = MOST_BYTES) -> None:
        self._app, self._keys, self._most = app, keys, most

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        request = Request(scope)
        answer = self._kept_out(request) or self._entering(request) or self._unknown(request)
        app = self._app if answer is None else answer
        await app(scope, _bounded(receive, self._most), _with_headers(send))

    def _kept_out(self, request: Request) -> Response | None:
        """Whatever no page of ours would ever send: the first thing that is wrong with it."""
        host, origin = request.headers.get("host", ""), request.headers.get("origin")
        length = request.headers.get("content-length", "0")
        writes = request.method in WRITES
        wrong = (
            (host != f"{HOST}:{self._keys.port}", 400, OTHER_HOST),
            (request.method not in READS + WRITES, 405, "This page knows no such request."),
            (
                len(request.url.path) + len(request.url.query) > LONGEST_ADDRESS,
                414,
                "That address is too long.",
            ),
            (origin is not None and origin != self._keys.origin, 403, OTHER_PAGE),
            (writes and origin is None, 403, NO_PAGE),
            (not (length.isascii() and length.isdigit()), 400, "Nobody can say how long this is."),
            (length.isdigit() and int(length[:20]) > self._most, 413, too_long(self._most)),
        )
        return next((refusal(status, says) for is_so, status, says in wrong if is_so), None)

    def _entering(self, request: Request) -> Response | None:
        """The address with the key gives the cookie, and is left at once: it stays in no link."""
        given = request.query_params.get("key", "")
        if request.method not in READS or request.url.path != "/" or not _same(given, self._keys.key):
            return None
        answer = RedirectResponse("/today", 303)
        answer.set_cookie(self._keys.cookie, self._keys.ticket, path="/", httponly=True, samesite="strict")
        return answer

    def _unknown(self, request: Request) -> Response | None:
        if _same(request.cookies.get(self._keys.cookie, ""), self._keys.ticket):
            return None
        says = (
            "Open the page by the address that reconcile said when it was started. It was stopped and "
            "started again? Then the old address is of no use. What you typed is still in this window: go "
            "back, and copy it."
        )
        return refusal(403, says)


def refusal(status: int, says: str) -> HTMLResponse:
    """A page for who is not let in: it needs no style, and says nothing of the workshop."""
    title = "Not let in" if status in (400, 403) else "Not taken in"
    return HTMLResponse(
        f'<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>{title}</title></head>'
        f"<body><main><h1>{title}</h1><p>{escape(says)}</p></main></body></html>",
        status,
    )


def too_long(most: int) -> str:
    return f"More than {most // 1_000_000} MB is not taken in. Nothing was done."


def _same(given: str, meant: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8", "replace"), meant.encode())


def is_ours(token: str, keys: Keys) -> bool:
    """Whether a form is one of ours."""
    return _same(token, keys.token)


def _bounded(receive: Receive, most: int) -> Receive:
    """Counts what comes in, whatever its length was said to be."""
    taken = 0

    async def receiving() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            raise TooMuch
        return message

    return receiving


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _missing(headers, HEADERS.items()):
                headers[name] = value
        await send(message)

    return sending


def _missing(headers: MutableHeaders, wanted: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    return [(name, value) for name, value in wanted if name not in headers]
