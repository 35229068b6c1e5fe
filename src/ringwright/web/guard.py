"""What stands before every page: whose browser asks, how much it sends, and what its answer may load.

A page of some other site that is open in the same browser must not be able to drive this program. So the host asked
for has to be this machine (or a name it was told), a browser that acts has to come from one of our own pages, and a
body has an upper limit that is counted while it arrives.
"""

from __future__ import annotations

import json
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ringwright.reckon import phrases
from ringwright.reckon.base import Problems
from ringwright.reckon.faces import MOST_BYTES
from ringwright.words import N_

#: Largest body of a page's form [bytes].
MOST_FORM_BYTES = 8 * MOST_BYTES
_HERE = frozenset({"localhost", "127.0.0.1", "[::1]"})
_ACTS = frozenset({"POST", "PUT", "PATCH", "DELETE"})
_CONTENT_POLICY = (
    "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)

phrases.learn(
    "other_host",
    N_("This program does not answer under that host name."),
    N_("The address that was printed when it started."),
    N_("Open that address."),
)
phrases.learn(
    "other_origin",
    N_("This came from a page of another site."),
    N_("Only pages of this program may act here."),
    N_("Open the page here and do it there."),
)
phrases.learn(
    "wrong_content_type",
    N_("The body is not announced as JSON."),
    N_("Content-Type: application/json."),
    N_("Send it with that content type."),
)


class TooLarge(Exception):
    """A body above its limit; nothing of it was used."""


def problem_body(code: str, **facts: object) -> bytes:
    """One problem about the whole request, as the contract writes it."""
    return json.dumps(Problems([phrases.problem(code, "", facts)]).as_record(), ensure_ascii=False).encode()


class Guard:
    """ASGI middleware; ``hosts`` are further names under which this program may be asked."""

    def __init__(self, app: ASGIApp, hosts: tuple[str, ...] = ()) -> None:
        self.app = app
        self.hosts = _HERE | {h.lower() for h in hosts}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        most = MOST_BYTES if scope["path"].startswith("/reckon/") else MOST_FORM_BYTES
        refused = self._refused(scope, headers, most)
        if refused is not None:
            await _refuse(send, *refused)
            return

        begun = False

        async def answer(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                put = MutableHeaders(raw=message.setdefault("headers", []))
                put["Content-Security-Policy"] = _CONTENT_POLICY
                put["X-Content-Type-Options"] = "nosniff"
                put["Referrer-Policy"] = "same-origin"
            await send(message)

        try:
            await self.app(scope, _counted(receive, most), answer)
        except TooLarge:
            if begun:
                raise
            await _refuse(send, 413, problem_body("too_large", limit=f"{most >> 20} MiB"))

    def _refused(self, scope: Scope, headers: Headers, most: int) -> tuple[int, bytes] | None:
        host = headers.get("host", "").lower()
        if _name(host) not in self.hosts:
            return 421, problem_body("other_host")
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > most:
            return 413, problem_body("too_large", limit=f"{most >> 20} MiB")
        if scope["method"] not in _ACTS:
            return None
        origin = headers.get("origin")
        if origin is None:
            from_elsewhere = headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none")
            return (403, problem_body("other_origin")) if from_elsewhere else None
        if urlsplit(origin).netloc.lower() != host:
            return 403, problem_body("other_origin")
        kind = headers.get("content-type", "").partition(";")[0].strip().lower()
        if scope["path"].startswith("/reckon/") and kind != "application/json":
            return 400, problem_body("wrong_content_type")
        return None


def _name(host: str) -> str:
    """The host without its port: "[::1]:8000" -> "[::1]"."""
    name, colon, port = host.rpartition(":")
    return name if colon and port.isdigit() else host


def _counted(receive: Receive, most: int) -> Receive:
    seen = 0

    async def counted() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > most:
            raise TooLarge
        return message

    return counted


async def _refuse(send: Send, status: int, body: bytes) -> None:
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": [*headers, (b"connection", b"close")]})
    await send({"type": "http.response.body", "body": body})
