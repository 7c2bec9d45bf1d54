"""The door of the page's server: who is let in, what is answered to everybody else, and that it stays open.

Map of what must hold:
  a request from elsewhere is refused: by Host, by Origin, by Sec-Fetch-Site, by its content type
  every reply carries the policy, and no inline script or style is allowed by it
  what is not JSON, too large, too deep, no number, too slow is a 4xx line, and the server goes on
  only the bundled files are handed out, whatever the path
  a fault of our own is one line without a trace
"""

from __future__ import annotations

import re
import socket
import time
from collections.abc import Iterator
from importlib.resources import files
from urllib.parse import unquote

import pytest

from helix.page.server import request_checks as guard
from helix.page.server import serving
from helix.page.server.request_checks import Guard
from tests.page.serving import Reply, Running, running

HEAD = b"POST /api/joint HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"


@pytest.fixture(scope="module")
def server() -> Iterator[Running]:
    with running() as found, pytest.MonkeyPatch.context() as patch:
        patch.setattr(guard, "SILENCE_S", 0.4)
        patch.setattr(guard, "BODY_S", 0.6)
        patch.setattr(serving, "HEAD_S", 0.4)
        yield found


@pytest.fixture(autouse=True)
def still_there(server: Running) -> Iterator[None]:
    yield
    assert server.post("/api/joint", {"draft": True}).json == {"ok": True, "draft": {"draft": True}}


# ---------------------------------------------------------------- from elsewhere


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "LOCALHOST", "[::1]"])
def test_its_own_names_are_let_in_with_and_without_the_port(server: Running, host: str) -> None:
    assert server.ask("GET", "/api/start", Host=host).status == 200
    assert server.ask("GET", "/api/start", Host=f"{host}:{server.port}").status == 200
    assert server.ask("GET", "/api/start", Host=f"{host}:{server.port + 1}").status == 403


@pytest.mark.parametrize(
    "host",
    ["example.org", "127.0.0.1.example.org", "localhost.example.org", "127.0.0.2", "0.0.0.0", "::1", "evil@127.0.0.1",
     "127.0.0.1:0x50", "[::1", "127.0.0.1:x", "127.0.0.1::"],
)  # fmt: skip
def test_another_name_is_refused_on_every_address(server: Running, host: str) -> None:
    for path in ("/", "/page.js", "/api/start", "/nowhere"):
        assert server.ask("GET", path, Host=host).status == 403


def test_no_host_or_two_are_refused(server: Running) -> None:
    assert b" 400 " in server.raw(b"GET / HTTP/1.1\r\nConnection: close\r\n\r\n").split(b"\r\n")[0]
    two = server.raw(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nHost: example.org\r\nConnection: close\r\n\r\n")
    assert two.split(b" ")[1] in (b"400", b"403")
    assert b" 403 " in server.raw(b"GET / HTTP/1.0\r\n\r\n").split(b"\r\n")[0]


@pytest.mark.parametrize(
    "origin", ["http://example.org", "null", "https://127.0.0.1", "http://127.0.0.1:1", "http://localhost"]
)
def test_another_origin_is_refused(server: Running, origin: str) -> None:
    for method, path in (("POST", "/api/joint"), ("GET", "/api/start"), ("DELETE", "/api/job/x")):
        assert server.ask(method, path, b"{}", Origin=origin, Host=f"127.0.0.1:{server.port}").status == 403


def test_its_own_origin_is_let_in(server: Running) -> None:
    own = f"127.0.0.1:{server.port}"
    assert server.post("/api/joint", {}, Host=own, Origin=f"http://{own}", Sec_Fetch_Site="same-origin").status == 200


@pytest.mark.parametrize("site", ["cross-site", "same-site", "odd"])
def test_a_request_that_another_page_makes_is_refused_but_a_link_to_the_page_works(server: Running, site: str) -> None:
    assert server.post("/api/joint", {}, Sec_Fetch_Site=site).status == 403
    assert server.ask("GET", "/page.js", Sec_Fetch_Site=site).status == 403
    assert server.ask("GET", "/", Sec_Fetch_Site=site).status == 403
    link = {"Sec_Fetch_Site": site, "Sec_Fetch_Mode": "navigate"}
    assert server.ask("GET", "/", **link, Sec_Fetch_Dest="document").status == 200
    assert server.ask("GET", "/", **link, Sec_Fetch_Dest="iframe").status == 403
    assert server.ask("GET", "/api/start", **link, Sec_Fetch_Dest="document").status == 403


@pytest.mark.parametrize(
    "kind",
    [
        "",
        "text/plain",
        "application/x-www-form-urlencoded",
        "multipart/form-data",
        "application/jsonp",
        "text/plain; application/json",
    ],
)
def test_only_json_is_taken_which_no_other_page_can_send_unasked(server: Running, kind: str) -> None:
    for path in ("/api/joint", "/api/read", "/api/write", "/api/units", "/api/pane/echo", "/api/file/quick.csv"):
        assert server.ask("POST", path, b"{}", Content_Type=kind).status == 415


def test_no_other_page_is_told_that_it_may(server: Running) -> None:
    reply = server.ask(
        "OPTIONS", "/api/joint", Origin=f"http://127.0.0.1:{server.port}", Access_Control_Request_Method="POST"
    )
    assert reply.status == 405 and not any(name.startswith("access-control") for name in reply.headers)


def test_other_machines_know_the_page_by_the_address_they_reached() -> None:
    def fault(host: str, anywhere: bool) -> str | None:
        scope = {
            "type": "http",
            "method": "GET",
            "path": "/",
            "headers": [(b"host", host.encode())],
            "server": ("192.0.2.7", 80),
        }
        return Guard(None, ["bench"], anywhere).fault(scope)

    assert fault("192.0.2.7", True) is None and fault("192.0.2.7:80", True) is None and fault("bench", True) is None
    assert fault("192.0.2.8", True) and fault("example.org", True) and fault("192.0.2.7", False)


# ---------------------------------------------------------------- what goes back


@pytest.mark.parametrize(
    "path",
    ["/", "/three.js", "/viewer.js", "/page.js", "/page.css", "/icon", "/api/start", "/nowhere", "/api/job/none"],
)
def test_every_reply_carries_a_strict_policy(server: Running, path: str) -> None:
    reply = server.ask("GET", path)
    policy = dict(part.split(" ", 1) for part in reply.headers["content-security-policy"].split("; "))
    assert (
        policy["default-src"] == "'none'" and policy["script-src"] == "'self'" and policy["frame-ancestors"] == "'none'"
    )
    assert (
        "unsafe" not in reply.headers["content-security-policy"]
        and "http" not in reply.headers["content-security-policy"]
    )
    assert reply.headers["x-content-type-options"] == "nosniff" and reply.headers["referrer-policy"] == "no-referrer"
    assert (
        reply.headers["cross-origin-resource-policy"] == "same-origin" and reply.headers["cache-control"] == "no-store"
    )
    assert "server" not in reply.headers


def test_the_icon_comes_with_the_page(server: Running) -> None:
    """A browser asks for another one at every change of the address."""
    icon = re.search(r'rel="icon" href="data:image/svg\+xml,([^"]+)"', server.ask("GET", "/").body.decode())
    assert icon and unquote(icon[1]) == server.ask("GET", "/icon").body.decode().strip()


def test_a_refusal_carries_it_too(server: Running) -> None:
    assert "content-security-policy" in server.ask("GET", "/", Host="example.org").headers


def test_the_page_itself_keeps_to_the_policy(server: Running) -> None:
    page = server.ask("GET", "/").body.decode()
    assert not re.search(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=|https?://", page)
    for path in re.findall(r'(?:src|href)="(?!data:image/svg)([^"]*)"', page):  # the icon comes with it
        assert server.ask("GET", path).status == 200


@pytest.mark.parametrize(
    "path",
    ["/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/page.js/../app.py", "/app.py", "/page.html", "/icon/", "//etc/passwd",
     "/page.js%00", "/api/pane/..%2f..%2fetc", "/api/file/%2fetc%2fpasswd", "/api/job/..%2f..", "/page.css\\..\\app.py", "/static/page.js"],
)  # fmt: skip
def test_nothing_but_the_bundled_files_is_handed_out(server: Running, path: str) -> None:
    reply = server.ask("POST" if path.startswith(("/api/pane", "/api/file")) else "GET", path)
    assert 400 <= reply.status < 500 and b"root:" not in reply.body and b"import" not in reply.body


def test_the_bundled_files_are_those_of_the_package(server: Running) -> None:
    for path, name in (
        ("/", "page.html"),
        ("/three.js", "built/three.js"),
        ("/viewer.js", "built/viewer.js"),
        ("/page.js", "built/page.js"),
        ("/page.css", "built/page.css"),
        ("/icon", "icon.svg"),
    ):
        assert server.ask("GET", path).body == (files("helix.page") / name).read_bytes()


def test_a_wrong_method_and_an_unknown_address_are_told(server: Running) -> None:
    for method, path, status in (
        ("GET", "/api/joint", 405),
        ("POST", "/", 405),
        ("TRACE", "/", 405),
        ("GET", "/x", 404),
    ):
        reply = server.ask(method, path)
        assert reply.status == status and reply.json["ok"] is False and len(reply.said) == 1
    assert server.post("/api/pane/none").status == server.post("/api/file/none").status == 404


# ---------------------------------------------------------------- bodies


@pytest.mark.parametrize(
    ("body", "word"),
    [
        (b"", "JSON"), (b"{", "JSON"), (b"\xff{}", "JSON"), (b'{"a":1}{"b":2}', "JSON"), (b"{'a':1}", "JSON"),
        (b"[]", "object"), (b"null", "object"), (b'"text"', "object"), (b"3", "object"),
        (b'{"a": NaN}', "finite"), (b'{"a": [-Infinity]}', "finite"), (b'{"a": 1e999}', "finite"),
        (b'{"a": ' + b"9" * 5000 + b"}", "digits"), (b'{"a": "\\ud800"}', "characters"), (b'{"\\udfff": 1}', "characters"),
        (b'{"a":' * 30 + b"1" + b"}" * 30, "nested"), (b'{"a":' + b"[" * 100_000 + b"]" * 100_000 + b"}", "nested"),
    ],
)  # fmt: skip
def test_what_is_no_sound_json_object_is_refused(server: Running, body: bytes, word: str) -> None:
    for path in ("/api/joint", "/api/pane/echo"):
        reply = server.ask("POST", path, body)
        assert reply.status == 400 and word in reply.said[0] and len(reply.said) == 1


def test_a_body_near_its_limit_is_taken_and_one_beyond_is_refused(server: Running) -> None:
    def sent(path: str, size: int) -> Reply:
        return server.ask("POST", path, b'{"a":"' + b"x" * (size - 8) + b'"}')

    assert sent("/api/pane/echo", guard.MOST_BYTES).status == 200
    assert sent("/api/pane/echo", guard.MOST_BYTES + 1).status == 413
    assert sent("/api/joint", 10_000_000).status == 413
    assert "2 MB" in sent("/api/file/quick.csv", 10_000_000).said[0]


def test_a_body_in_pieces_without_a_length_has_the_same_limit(server: Running) -> None:
    piece = b"10000\r\n" + b" " * 65536 + b"\r\n"
    sent = [HEAD, b"Transfer-Encoding: chunked\r\n\r\n", *[piece] * 40, b"0\r\n\r\n"]
    assert b" 413 " in server.raw(*sent).split(b"\r\n")[0]


def test_a_packed_body_is_refused(server: Running) -> None:
    assert server.ask("POST", "/api/joint", b"{}", Content_Encoding="gzip").status == 415


def test_a_body_that_stops_is_given_up(server: Running) -> None:
    started = time.monotonic()
    answer = server.raw(HEAD, b'Content-Length: 100\r\n\r\n{"a":')
    assert b" 408 " in answer.split(b"\r\n")[0] and b'"ok":false' in answer
    assert 0.3 < time.monotonic() - started < 5.0


def test_a_body_that_drips_is_given_up(server: Running) -> None:
    with socket.create_connection(("127.0.0.1", server.port), timeout=10.0) as talk:
        talk.sendall(HEAD + b"Content-Length: 100\r\n\r\n")
        talk.settimeout(0.1)
        for _ in range(50):
            talk.sendall(b" ")
            try:
                answer = talk.recv(1000)
                break
            except TimeoutError:
                continue
        assert b" 408 " in answer.split(b"\r\n")[0]


@pytest.mark.parametrize("begun", [b"", b"GET / HT", b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: "])
def test_headers_that_do_not_come_are_given_up(server: Running, begun: bytes) -> None:
    assert b" 408 " in server.raw(begun).split(b"\r\n")[0]


def test_headers_of_a_second_request_that_do_not_come_are_given_up(server: Running) -> None:
    answer = server.raw(b"GET /api/start HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n", b"GET / HTTP/1.1\r\nHost:")
    assert answer.count(b"HTTP/1.1 ") == 2 and b"HTTP/1.1 408 " in answer


@pytest.mark.parametrize(
    "sent",
    [b"nonsense\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n", b"\x16\x03\x01\x02\x00", b"GET  HTTP/1.1\r\n\r\n",
     b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: " + b"y" * 100_000 + b"\r\n\r\n",
     HEAD + b"Content-Length: -1\r\n\r\n{}", HEAD + b"Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}"],
)  # fmt: skip
def test_what_is_no_http_is_refused(server: Running, sent: bytes) -> None:
    assert server.raw(sent).split(b" ")[1] in (b"400", b"403", b"408", b"431")


def test_a_client_that_leaves_in_the_middle_does_no_harm(server: Running) -> None:
    for sent in (HEAD + b"Content-Length: 100\r\n\r\n{", HEAD + b"Content-Length: 2\r\n\r\n{}"):
        with socket.create_connection(("127.0.0.1", server.port)) as talk:
            talk.sendall(sent)


# ---------------------------------------------------------------- errors


def test_faults_of_the_input_come_one_by_one_with_their_keys(server: Running) -> None:
    reply = server.post("/api/pane/refuses")
    assert reply.status == 422 and [fault["key"] for fault in reply.json["faults"]] == ["twist.turns", "load"]


@pytest.mark.parametrize("name", ["breaks", "no_number"])
def test_a_fault_of_our_own_is_a_line_and_no_trace(
    server: Running, name: str, capfd: pytest.CaptureFixture[str]
) -> None:
    reply = server.post(f"/api/pane/{name}")
    assert reply.status == 500 and "please report it" in reply.said[0] and b"Traceback" not in reply.body
    logged = capfd.readouterr().err
    assert logged.count("\n") == 1 and "please report it" in logged


def test_a_file_has_the_servers_own_plain_name(server: Running) -> None:
    reply = server.post("/api/file/quick.csv")
    assert reply.body == b"a,b\n\x00\xff" and reply.headers["content-type"].startswith("text/csv")
    assert reply.headers["content-disposition"] == 'attachment; filename="my-joint.csv"'
