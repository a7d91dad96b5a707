"""The endpoint that takes sessions, against requests other sites can have a browser make.

The cases follow the OWASP Cheat Sheet Series, "Cross-Site Request Forgery Prevention": a token in a
custom header; no simple requests, that is, none of the three kinds of content a form can send;
verifying the origin with standard headers, refusing where there is none; Fetch Metadata. What is
said of DNS rebinding, to check the Host header, is in its "HTML5 Security" and in RFC 9110, 7.2.
What a simple request is: the Fetch Standard, 2.2.2. Read from memory of them, not copied.

Everything goes through MkDocs' own server and real sockets, each request written out by hand.
"""

import json
import socket
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from mkdocs.livereload import LiveReloadServer
from sites import BASE, BOOK, FOUR_LINES

from buildbook.files import PARTIAL
from buildbook.records.read import read
from mkdocs_buildbook.saving import MOST_BYTES, PATH, Saving, allow_saving, is_loopback

EVIL = "evil.example"


@dataclass
class Served:
    """A book that is served, and what may be sent to it."""

    saving: Saving
    content: Path
    host: str
    port: int
    family: int = socket.AF_INET

    @property
    def at(self) -> str:
        return f"[{self.host}]:{self.port}" if ":" in self.host else f"{self.host}:{self.port}"

    def files(self) -> list[str]:
        return sorted(p.relative_to(self.content).as_posix() for p in self.content.rglob("*"))

    def ask(self, raw: bytes) -> tuple[int, dict[str, str], bytes]:
        """Send bytes; give status, headers and body of the answer."""
        with socket.create_connection((self.host, self.port), timeout=20) as connection:
            connection.sendall(raw)
            connection.shutdown(socket.SHUT_WR)
            answer = b"".join(iter(lambda: connection.recv(65536), b""))
        head, _, body = answer.partition(b"\r\n\r\n")
        status, *lines = head.decode("latin-1").split("\r\n")
        headers = {n.lower(): v for n, _, v in (line.partition(": ") for line in lines)}
        return int(status.split()[1]), headers, body


@dataclass
class Request:
    """A request as the page makes it; a case changes one thing of it."""

    method: str = "POST"
    target: str = PATH
    headers: dict[str, str | None] = field(default_factory=dict)
    """In place of the usual ones; None leaves one out."""
    text: str | bytes = FOUR_LINES
    body: bytes | None = None
    more: bytes = b""
    """Header lines that a mapping cannot hold, as one that is there twice."""

    def raw(self, served: Served) -> bytes:
        text = self.text.decode() if isinstance(self.text, bytes) else self.text
        body = json.dumps({"text": text}).encode() if self.body is None else self.body
        headers: dict[str, str | None] = {
            "Host": served.at,
            "Origin": f"http://{served.at}",
            "Sec-Fetch-Site": "same-origin",
            "Content-Type": "application/json",
            "X-Buildbook-Token": served.saving.token,
            "Content-Length": str(len(body)),
            **self.headers,
        }
        lines = [f"{self.method} {self.target.format(port=served.port)} HTTP/1.1"]
        lines += [
            f"{n}: {v.format(port=served.port, at=served.at)}"
            for n, v in headers.items()
            if v is not None
        ]
        return "\r\n".join(lines).encode() + b"\r\n" + self.more + b"\r\n" + body


def serve(content: Path, site: Path, host: str) -> tuple[LiveReloadServer, Served]:
    server = LiveReloadServer(builder=lambda: None, host=host, port=0, root=str(site))
    saving = allow_saving(server, content)
    assert saving is not None
    server.server_bind()
    server.server_activate()
    server.serve_thread.start()
    return server, Served(saving, content, host, server.server_address[1])


@pytest.fixture
def book(tmp_path: Path) -> Path:
    for name, text in {"book.yml": BOOK, **BASE}.items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    site = tmp_path / "site"
    (site / "deep" / "write-a-session").mkdir(parents=True)
    page = "<html><head><title>t</title></head><body>b</body></html>"
    for name in ("write-a-session.html", "index.html", "deep/write-a-session/index.html"):
        (site / name).write_text(page, encoding="utf-8")
    return tmp_path


@pytest.fixture
def served(book: Path) -> Iterator[Served]:
    server, served = serve(book / "content", book / "site", "127.0.0.1")
    yield served
    server.shutdown()


# What the page itself may do.


def test_the_page_saves(served: Served) -> None:
    status, headers, body = served.ask(Request().raw(served))
    assert status == 201
    assert json.loads(body) == {"saved": "sessions/2025-03-08.yml", "problems": []}
    assert headers["content-type"] == "application/json"
    assert "access-control-allow-origin" not in headers
    saved = served.content / "sessions" / "2025-03-08.yml"
    assert saved.read_text(encoding="utf-8") == FOUR_LINES
    assert read(served.content).problems == ()


@pytest.mark.parametrize("at", ["localhost:{port}", "LOCALHOST:{port}"])
def test_by_its_other_name(served: Served, at: str) -> None:
    request = Request(headers={"Host": at, "Origin": f"http://{at}"})
    assert served.ask(request.raw(served))[0] == 201


def test_on_ipv6(book: Path) -> None:
    try:
        server, served = serve(book / "content", book / "site", "::1")
    except OSError:
        pytest.skip("no IPv6 here")
    try:
        assert served.ask(Request().raw(served))[0] == 201
        other = Request(headers={"Host": "127.0.0.1:{port}", "Origin": "http://127.0.0.1:{port}"})
        assert served.ask(other.raw(served))[0] == 403
    finally:
        server.shutdown()


# What nobody else may.

FORM = "application/x-www-form-urlencoded"
REFUSED = {
    "another origin": (Request(headers={"Origin": f"https://{EVIL}"}), 403),
    "an origin that begins alike": (Request(headers={"Origin": "http://{at}." + EVIL}), 403),
    "an origin that ends alike": (Request(headers={"Origin": f"http://{EVIL}@{{at}}"}), 403),
    "another port of this computer": (Request(headers={"Origin": "http://127.0.0.1:1"}), 403),
    "another scheme": (Request(headers={"Origin": "https://{at}"}), 403),
    "null, as from a sandboxed frame or file://": (Request(headers={"Origin": "null"}), 403),
    "no origin": (Request(headers={"Origin": None}), 403),
    "an empty origin": (Request(headers={"Origin": ""}), 403),
    "this computer by its other name": (
        Request(headers={"Origin": "http://localhost:{port}"}),
        403,
    ),
    "no origin, and a referer": (
        Request(headers={"Origin": None, "Referer": "http://{at}/write-a-session.html"}),
        403,
    ),
    "two origins": (Request(more=f"Origin: http://{EVIL}\r\n".encode()), 403),
    "cross-site, by Fetch Metadata": (Request(headers={"Sec-Fetch-Site": "cross-site"}), 403),
    "same-site, by Fetch Metadata": (Request(headers={"Sec-Fetch-Site": "same-site"}), 403),
    "a navigation, by Fetch Metadata": (Request(headers={"Sec-Fetch-Site": "none"}), 403),
    "no token": (Request(headers={"X-Buildbook-Token": None}), 403),
    "an empty token": (Request(headers={"X-Buildbook-Token": ""}), 403),
    "a wrong token": (Request(headers={"X-Buildbook-Token": "A" * 43}), 403),
    "a token that is no ASCII": (Request(headers={"X-Buildbook-Token": "é" * 43}), 403),
    "a token in the address": (
        Request(target=f"{PATH}?token=x", headers={"X-Buildbook-Token": None}),
        403,
    ),
    "a token in a cookie": (
        Request(headers={"X-Buildbook-Token": None, "Cookie": "X-Buildbook-Token=x"}),
        403,
    ),
    "JSON as plain text": (Request(headers={"Content-Type": "text/plain"}), 415),
    "JSON as a form": (Request(headers={"Content-Type": FORM}), 415),
    "JSON in a form of several parts": (
        Request(headers={"Content-Type": "multipart/form-data; boundary=x"}),
        415,
    ),
    "plain text that names JSON": (
        Request(headers={"Content-Type": "text/plain; application/json"}),
        415,
    ),
    "no kind of content": (Request(headers={"Content-Type": None}), 415),
    "JSON of another name": (Request(headers={"Content-Type": "application/json+x"}), 415),
    "JSON in another encoding": (
        Request(headers={"Content-Type": "application/json; charset=utf-16"}),
        415,
    ),
    "a real form": (
        Request(headers={"Content-Type": FORM}, body=b"text=date%3A+2025-03-08"),
        415,
    ),
    "GET": (Request("GET"), 405),
    "GET with the text in the address": (Request("GET", f"{PATH}?text=x", body=b""), 405),
    "HEAD": (Request("HEAD"), 405),
    "PUT": (Request("PUT"), 405),
    "DELETE": (Request("DELETE"), 405),
    "PATCH": (Request("PATCH"), 405),
    "a preflight": (
        Request(
            "OPTIONS",
            headers={
                "Origin": f"https://{EVIL}",
                "Access-Control-Request-Method": "POST",
                "Access-Control-Request-Headers": "x-buildbook-token",
            },
        ),
        405,
    ),
    "a method written over": (Request("GET", headers={"X-HTTP-Method-Override": "POST"}), 405),
    "another name for this computer (DNS rebinding)": (
        Request(headers={"Host": f"{EVIL}:{{port}}", "Origin": f"http://{EVIL}:{{port}}"}),
        403,
    ),
    "a name with this computer's in it": (
        Request(
            headers={
                "Host": f"localhost.{EVIL}:{{port}}",
                "Origin": f"http://localhost.{EVIL}:{{port}}",
            }
        ),
        403,
    ),
    "another port in the name": (
        Request(headers={"Host": "127.0.0.1:1", "Origin": "http://127.0.0.1:1"}),
        403,
    ),
    "no port in the name": (
        Request(headers={"Host": "127.0.0.1", "Origin": "http://127.0.0.1"}),
        403,
    ),
    "this computer in other digits": (
        Request(headers={"Host": "2130706433:{port}", "Origin": "http://2130706433:{port}"}),
        403,
    ),
    "the address of all networks": (
        Request(headers={"Host": "0.0.0.0:{port}", "Origin": "http://0.0.0.0:{port}"}),
        403,
    ),
    "no host": (Request(headers={"Host": None}), 403),
    "two hosts": (Request(more=f"Host: {EVIL}\r\n".encode()), 403),
    "a host said to be forwarded": (
        Request(headers={"Host": EVIL, "X-Forwarded-Host": "{at}"}),
        403,
    ),
    "a whole address, of another host": (Request(target=f"http://{EVIL}{PATH}"), 400),
    "a whole address, of this one": (Request(target="http://127.0.0.1:{port}" + PATH), 400),
    "no length": (Request(headers={"Content-Length": None}), 411),
    "in chunks": (
        Request(
            headers={"Content-Length": None, "Transfer-Encoding": "chunked"},
            body=b"2\r\n{}\r\n0\r\n\r\n",
        ),
        411,
    ),
    "in chunks, and with a length": (Request(headers={"Transfer-Encoding": "chunked"}), 411),
    "a length that is none": (Request(headers={"Content-Length": "twelve"}), 400),
    "a length below zero": (Request(headers={"Content-Length": "-1"}), 400),
    "a length in other digits": (Request(headers={"Content-Length": "+12"}), 400),
    "too long": (Request(text="# " + "x" * MOST_BYTES), 413),
    "said to be far too long": (Request(headers={"Content-Length": "9" * 15}), 413),
    "cut short": (Request(headers={"Content-Length": "4000"}), 400),
    "no JSON": (Request(body=b"date: 2025-03-08"), 400),
    "JSON that is no object": (Request(body=b'"date: 2025-03-08"'), 400),
    "JSON nested without end": (Request(body=b"[" * 100_000), 400),
    "no UTF-8": (Request(body=b'{"text": "\xff"}'), 400),
    "nothing": (Request(body=b""), 400),
    "something that is no text": (Request(body=b'{"text": ["x"]}'), 400),
    "a name for the file": (
        Request(body=json.dumps({"text": FOUR_LINES, "name": "../../.bashrc"}).encode()),
        400,
    ),
    "half a letter": (Request(body=b'{"text": "date: 2025-03-08\\ntitle: \\ud800"}'), 422),
    "what is no session": (Request(text="- a\n- list\n"), 422),
    "what is no YAML": (Request(text="date: [2025-03-08\n"), 422),
    "an empty text": (Request(text=""), 422),
    "a session that lacks its step": (Request(text="date: 2025-03-08\nhours: 2h\n"), 422),
    "a field that there is not": (Request(text=FOUR_LINES + "colour: green\n"), 422),
    "a date that leads elsewhere": (Request(text=FOUR_LINES.replace("2025-03-08", "../../x")), 422),
    "a program's tag": (Request(text=FOUR_LINES + "title: !!python/name:os.system x\n"), 422),
}


@pytest.mark.parametrize(("request_", "status"), REFUSED.values(), ids=REFUSED.keys())
def test_it_is_refused_in_words(served: Served, request_: Request, status: int) -> None:
    before = served.files()
    got, headers, body = served.ask(request_.raw(served))
    assert got == status
    assert not [name for name in headers if name.startswith("access-control-")]
    assert headers["x-content-type-options"] == "nosniff"
    assert served.saving.token.encode() not in body
    if request_.method != "HEAD":
        said = json.loads(body)["error"]
        assert " " in said
        assert not said.endswith(".")
    if status == 405:
        assert headers["allow"] == "POST"
    assert served.files() == before


def test_the_cases_are_refused_for_one_thing_each(served: Served) -> None:
    """The request they all start from is taken: each is refused for what it changes."""
    assert served.ask(Request().raw(served))[0] == 201


@pytest.mark.parametrize(
    ("title", "file"),
    [
        ("../../etc/passwd", "2025-03-08-etc-passwd.yml"),
        ("..\\\\..\\\\x", "2025-03-08-x.yml"),
        ("a\\r\\nSet-Cookie: b=c", "2025-03-08-a-set-cookie-b-c.yml"),
        ("/absolute", "2025-03-08-absolute.yml"),
        ("con.yml\\0.jpg", "2025-03-08-con-yml-jpg.yml"),
        ("%2e%2e%2f", "2025-03-08-2e-2e-2f.yml"),
        ("x" * 300, f"2025-03-08-{'x' * 60}.yml"),
        ("…", "2025-03-08.yml"),
    ],
)
def test_no_title_leads_out_of_the_folder(served: Served, title: str, file: str) -> None:
    request = Request(text=f'{FOUR_LINES}title: "{title}"\n')
    status, headers, body = served.ask(request.raw(served))
    assert status == 201
    assert "set-cookie" not in headers
    assert json.loads(body)["saved"] == f"sessions/{file}"
    assert [f for f in served.files() if f.startswith("sessions/")] == [f"sessions/{file}"]


# Twice, and at once.


def test_never_over_another(served: Served) -> None:
    assert served.ask(Request().raw(served))[0] == 201
    changed = Request(text=FOUR_LINES.replace("2h30", "3h"))
    status, _, body = served.ask(changed.raw(served))
    assert status == 409
    assert "give it a title" in json.loads(body)["error"]
    saved = served.content / "sessions" / "2025-03-08.yml"
    assert saved.read_text(encoding="utf-8") == FOUR_LINES


def test_sent_twice_counts_as_once(served: Served) -> None:
    """An answer may be lost on its way, and the same session sent again."""
    answers = [served.ask(Request().raw(served)) for _ in range(2)]
    assert [json.loads(body)["saved"] for _, _, body in answers] == ["sessions/2025-03-08.yml"] * 2
    assert [f for f in served.files() if f.endswith("2025-03-08.yml")] == [
        "sessions/2025-03-08.yml"
    ]


def test_at_once_one_is_saved_and_the_others_are_told(served: Served) -> None:
    answers: list[tuple[int, str]] = []

    def send(hours: int) -> None:
        text = FOUR_LINES.replace("2h30", f"{hours}h")
        answers.append((served.ask(Request(text=text).raw(served))[0], text))

    threads = [threading.Thread(target=send, args=(n,)) for n in range(1, 9)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(status for status, _ in answers) == [201] + [409] * 7
    (winner,) = (text for status, text in answers if status == 201)
    saved = served.content / "sessions" / "2025-03-08.yml"
    assert saved.read_text(encoding="utf-8") == winner
    assert not [f for f in served.files() if f.endswith(PARTIAL)]


# The page.


@pytest.mark.parametrize("path", ["/write-a-session.html", "/deep/write-a-session/"])
def test_the_served_page_is_told_the_token(served: Served, path: str) -> None:
    raw = f"GET {path} HTTP/1.1\r\nHost: {served.at}\r\n\r\n".encode()
    status, headers, body = served.ask(raw)
    assert status == 200
    meta = f'<meta name="buildbook-saving" content="{served.saving.token}" data-to="{PATH}"></head>'
    assert meta.encode() in body
    assert int(headers["content-length"]) == len(body)
    assert headers["cache-control"] == "no-store"
    assert headers["x-frame-options"] == "DENY"


@pytest.mark.parametrize(
    ("line", "host"),
    [
        ("GET /write-a-session.html", f"{EVIL}:80"),
        ("GET /write-a-session.html", EVIL),
        ("GET /index.html", ""),
        ("GET /deep/", ""),
        ("GET /write-a-session.html.map", ""),
        ("POST /write-a-session.html", ""),
    ],
)
def test_nobody_else_is(served: Served, line: str, host: str) -> None:
    raw = f"{line} HTTP/1.1\r\nHost: {host or served.at}\r\n\r\n".encode()
    _, headers, body = served.ask(raw)
    assert served.saving.token.encode() not in body + repr(headers).encode()


def test_each_start_has_its_own_token(book: Path) -> None:
    tokens = {Saving(lambda *_: [], book, "127.0.0.1").token for _ in range(20)}
    assert len(tokens) == 20
    assert min(map(len, tokens)) >= 43  # 256 bits in base64


# Where it listens.


@pytest.mark.parametrize(
    ("host", "is_own"),
    [
        ("127.0.0.1", True),
        ("127.8.9.1", True),
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),
        ("::", False),
        ("", False),
        ("192.168.1.20", False),
        ("workshop.local", False),
        (f"localhost.{EVIL}", False),
        ("127.0.0.1.nip.example", False),
    ],
)
def test_only_this_computer_is_listened_to(book: Path, host: str, is_own: bool) -> None:
    assert is_loopback(host) is is_own
    if is_own:
        return
    server = LiveReloadServer(builder=lambda: None, host=host, port=0, root=str(book / "site"))
    app = server.get_app()
    assert allow_saving(server, book / "content") is None
    assert server.get_app() == app
    server.server_close()
