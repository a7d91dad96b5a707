"""Saving a session from the page it is written on, while the site is served on one's own computer.

A browser sends to a server on the same computer whatever any page asks it to, so nothing of a
request is taken on trust: who asks must know a token that only the served page was given, must
have that page's own origin, and must send what no plain form can send. After the OWASP Cheat Sheet
Series, "Cross-Site Request Forgery Prevention": custom request header, verifying origin with
standard headers, Fetch Metadata; and its advice on DNS rebinding, to check the Host header.

Nothing of this is in the built files.
"""

import ipaddress
import json
import re
import secrets
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from html import escape
from pathlib import Path
from typing import Any
from wsgiref.simple_server import WSGIServer

from mkdocs.plugins import get_plugin_logger

from buildbook.pages import paths
from buildbook.records.shelf import Shelf
from buildbook.writing.received import NotSavedError, save_session

log = get_plugin_logger("buildbook")

PATH = "/buildbook/save-session"
"""Where sessions are sent to. It is at the root, wherever the site is."""
MOST_BYTES = 256 * 1024
"""Of a request: a session is a few lines, and a long day a few hundred."""
_TOKEN_KEY = "HTTP_X_BUILDBOOK_TOKEN"  # noqa: S105 - what WSGI calls X-Buildbook-Token
_DRAINED = 4 * MOST_BYTES  # read and thrown away, so that a browser sees the answer

Environ = dict[str, Any]
StartResponse = Callable[..., Any]
App = Callable[[Environ, StartResponse], Iterable[bytes]]


@dataclass(frozen=True, slots=True)
class Answer:
    """What a request is answered with."""

    status: str
    said: dict[str, Any]
    allow: str = ""

    @property
    def body(self) -> bytes:
        """The answer as JSON."""
        return json.dumps(self.said).encode()


def _no(status: str, sentence: str, *, allow: str = "") -> Answer:
    return Answer(status, {"error": sentence}, allow)


def allow_saving(server: WSGIServer, content: Path) -> "Saving | None":
    """Put the endpoint in front of what a server serves.

    Only a server that listens on this computer alone gets one: None for others, and the log says
    so. Call it before the server starts.
    """
    host = str(server.server_address[0])
    if not is_loopback(host):
        log.warning(
            "%s can be reached from other computers, so sessions cannot be saved from the page; "
            "serve at 127.0.0.1 for that",
            host or "0.0.0.0",  # noqa: S104 - what an empty host means
        )
        return None
    app = server.get_app()
    assert app is not None
    saving = Saving(app, content, host)
    server.set_app(saving)
    return saving


def is_loopback(host: str) -> bool:
    """Tell whether an address is one that only this computer reaches."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


class Saving:
    """A WSGI application around another: it takes sessions, and tells the page how to send them."""

    def __init__(self, app: App, content: Path, host: str) -> None:
        self.app = app
        self.content = content
        self.host = host
        self.shelf = Shelf()
        """What was read of the book, for the next session that is saved."""
        self.token = secrets.token_urlsafe(32)
        """Made anew at each start, and told to nobody but the page."""

    def __call__(self, environ: Environ, start: StartResponse) -> Iterable[bytes]:
        """Answer one request."""
        path = str(environ.get("PATH_INFO", ""))
        if not path.startswith("/") or path == PATH:
            return self._answered(environ, start)
        if is_form(path) and self._is_here(environ) and environ["REQUEST_METHOD"] == "GET":
            return self._with_token(environ, start)
        return self.app(environ, start)

    # The page.

    def _with_token(self, environ: Environ, start: StartResponse) -> Iterable[bytes]:
        """Serve the page with the token in it; no other page may show it inside itself."""
        told: list[Any] = []
        chunks = self.app(environ, lambda *args: told.extend(args))
        try:
            body = b"".join(chunks)
        finally:
            if close := getattr(chunks, "close", None):
                close()
        status, headers = told[0], list(told[1])
        kind = next((v for n, v in headers if n.lower() == "content-type"), "")
        if status.startswith("200") and kind.startswith("text/html"):
            meta = f'<meta name="buildbook-saving" content="{escape(self.token)}" data-to="{PATH}">'
            body = body.replace(b"</head>", meta.encode() + b"</head>", 1)
            changed = ("content-length", "cache-control", "x-frame-options")
            headers = [(n, v) for n, v in headers if n.lower() not in changed]
            headers += [
                ("Content-Length", str(len(body))),
                ("Cache-Control", "no-store"),
                ("X-Frame-Options", "DENY"),
                ("Cross-Origin-Resource-Policy", "same-origin"),
            ]
        start(status, headers)
        return [body]

    # The endpoint.

    def _answered(self, environ: Environ, start: StartResponse) -> Iterable[bytes]:
        answer = self._refused(environ)
        if answer:
            _drain(environ)
        else:
            answer = self._save(environ)
        headers = [
            ("Content-Type", "application/json"),
            ("Content-Length", str(len(answer.body))),
            ("Cache-Control", "no-store"),
            ("X-Content-Type-Options", "nosniff"),
        ]
        start(answer.status, headers + ([("Allow", answer.allow)] if answer.allow else []))
        return [answer.body]

    def _is_here(self, environ: Environ) -> bool:
        """Tell whether a request comes from this computer, and is meant for it by name.

        A name of another site may lead here (DNS rebinding); the browser then sends that name.
        """
        return (
            environ.get("HTTP_HOST", "").lower() in self._hosts(str(environ["SERVER_PORT"]))
            and is_loopback(str(environ.get("REMOTE_ADDR", "")))
        )  # fmt: skip

    def _hosts(self, port: str) -> set[str]:
        named = f"[{self.host}]" if ":" in self.host else self.host
        names = {named, "localhost"}
        if self.host == "localhost":
            names |= {"127.0.0.1", "[::1]"}
        return {f"{name}:{port}" for name in names} | (names if port == "80" else set())

    def _refused(self, environ: Environ) -> Answer | None:  # noqa: PLR0911 - a line a reason
        """Say why a request is not even read; None when it may be."""
        if not str(environ.get("PATH_INFO", "")).startswith("/"):
            return _no("400 Bad Request", "a request names a path here, not a whole address")
        if not self._is_here(environ):
            return _no("403 Forbidden", "this is not the address the book is served at")
        if environ["REQUEST_METHOD"] != "POST":
            return _no("405 Method Not Allowed", "sessions are sent with POST", allow="POST")
        site = environ.get("HTTP_SEC_FETCH_SITE", "same-origin")
        if environ.get("HTTP_ORIGIN") != f"http://{environ['HTTP_HOST']}" or site != "same-origin":
            return _no("403 Forbidden", "another site asked for this")
        if _media_type(environ) != "application/json":
            return _no("415 Unsupported Media Type", "a session is sent as application/json")
        given = str(environ.get(_TOKEN_KEY, "")).encode("latin-1", "replace")
        if not secrets.compare_digest(given, self.token.encode()):
            return _no(
                "403 Forbidden",
                "the book was served anew since this page was opened; load the page again, "
                "the draft is kept",
            )
        return _wrong_length(environ)

    def _save(self, environ: Environ) -> Answer:
        length = int(environ["CONTENT_LENGTH"])
        raw = environ["wsgi.input"].read(length)
        if len(raw) < length:
            return _no("400 Bad Request", "the request was cut short")
        try:
            sent = json.loads(raw.decode("utf-8"))
        except (ValueError, RecursionError):
            return _no("400 Bad Request", "the request is not JSON")
        if not (
            isinstance(sent, dict) and sent.keys() == {"text"} and isinstance(sent["text"], str)
        ):
            return _no("400 Bad Request", "a request has the session's text and nothing else")
        try:
            saved = save_session(self.content, sent["text"], self.shelf)
        except NotSavedError as error:
            status = {"taken": "409 Conflict", "disk": "500 Internal Server Error"}
            findings = [asdict(f) for f in error.findings]
            said = {"error": str(error), "problems": findings}
            return Answer(status.get(error.code, "422 Unprocessable Content"), said)
        log.info("Saved %s", saved.file)
        problems = [asdict(f) for f in saved.findings]
        return Answer("201 Created", {"saved": saved.file, "problems": problems})


def is_form(path: str) -> bool:
    """Tell whether an address in the site is that of the page on which a session is written."""
    return (
        re.fullmatch(rf"(?:/.*)?/{re.escape(paths.WRITE)}(?:\.html|/|/index\.html)", path)
        is not None
    )


def _media_type(environ: Environ) -> str:
    """Name the kind of content; only UTF-8 may be said beside it."""
    kind, _, more = str(environ.get("CONTENT_TYPE", "")).partition(";")
    if more.strip().lower() not in ("", "charset=utf-8"):
        return ""
    return kind.strip().lower()


def _wrong_length(environ: Environ) -> Answer | None:
    length = str(environ.get("CONTENT_LENGTH") or "")
    if environ.get("HTTP_TRANSFER_ENCODING") or not length:
        return _no("411 Length Required", "a request says how long it is")
    if not re.fullmatch(r"[0-9]{1,18}", length):
        return _no("400 Bad Request", "the length of the request is no number")
    if int(length) > MOST_BYTES:
        said = f"a session has at most {MOST_BYTES // 1024} KiB; download the file instead"
        return _no("413 Content Too Large", said)
    return None


def _drain(environ: Environ) -> None:
    """Read what a refused request still sends: closed on it, a browser would not see why."""
    length = str(environ.get("CONTENT_LENGTH") or "")
    if re.fullmatch(r"[0-9]{1,7}", length) and int(length) <= _DRAINED:
        environ["wsgi.input"].read(int(length))
