"""`helix page` from its start to its end, and what it answers with helix itself behind it.

Map of what must hold:
  it says where the page is, answers there, ends on Ctrl-C with one line and code 0, its processes with it
  a port in use, a host that is none, a recipe with faults: a line each, code 2; beyond this machine: a warning
  a recipe to open stands in the address, as the page reads it
  drafts and full answers are those of joint_answer, files of recipes read back as they were
  many at once are all answered
"""

from __future__ import annotations

import json
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl

import pytest

from helix.commands.main import main
from helix.commands.page_command import fragment
from helix.page.answers.joint_answer import START, joint_answer, start_record
from helix.page.server import serving
from helix.page.server.request_checks import is_loopback
from helix.page.server.serving import address_of, listening
from tests.page.serving import PATIENCE_S, Running, gone

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "docs" / "examples" / "logger-tether.toml"
STEEP = START | {"exit": {"style": "bench", "peak_angle": "120 deg"}}


@pytest.fixture(scope="module")
def page() -> Iterator[tuple[subprocess.Popen[str], Running]]:
    """The command, running; the last test ends it."""
    command = [sys.executable, "-m", "helix", "page", "--no-open", "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout
            found = re.fullmatch(r"The page is at http://127\.0\.0\.1:(\d+)/\n", server.stdout.readline())
            assert found, server.stderr and server.stderr.read()
            yield server, Running(int(found[1]))
        finally:
            server.kill()


@pytest.fixture
def server(page: tuple[subprocess.Popen[str], Running]) -> Running:
    return page[1]


# ---------------------------------------------------------------- helix behind it


@pytest.mark.parametrize("recipe", [START, STEEP], ids=["good", "steep"])
@pytest.mark.parametrize("draft", [True, False])
def test_the_answer_is_that_of_helix_itself(server: Running, recipe: dict[str, Any], draft: bool) -> None:
    body = {"recipe": recipe, "draft": draft, "units": "inch"}
    assert server.joint(body).json == json.loads(json.dumps(joint_answer(body)))


def test_the_start_is_that_of_helix_itself(server: Running) -> None:
    assert server.ask("GET", "/api/start").json == json.loads(json.dumps(start_record()))


def test_a_recipe_written_is_read_back_and_turned_into_inches(server: Running) -> None:
    written = server.post("/api/write", {"recipe": START}).json
    assert written["name"] == "my-joint.toml"
    assert server.post("/api/read", {"text": written["text"], "kind": "recipe"}).json["recipe"] == START
    inches = server.post("/api/units", {"recipe": START, "units": "inch"}).json["recipe"]
    assert inches["eye"]["pin"] == "0.23622 in" and inches["units"] == "inch"


@pytest.mark.parametrize("draft", [True, False])
@pytest.mark.parametrize(
    ("key", "value"),
    [("turns", -1), ("turns", 1e300), ("turns", 10**30), ("turns", "5"), ("turns", [1]), ("turns", {"a": {}}),
     ("lay_length", "4 furlongs"), ("lay_length", "1" * 10_000 + " mm"), ("no_such_key", 1), ("", 1), ("turns\n", 1)],
)  # fmt: skip
def test_a_recipe_with_a_fault_is_refused_in_words(server: Running, key: str, value: object, draft: bool) -> None:
    reply = server.joint({"recipe": START | {"twist": {key: value}}, "draft": draft})
    assert reply.status == 422 and len(reply.body) < 2000
    if key == "turns":
        assert [fault["key"] for fault in reply.json["faults"]] == ["twist.turns"]


@pytest.mark.parametrize(
    "recipe", [None, 3, "text", [], {"wire": 1}, {"wire": {}, "eye": {}}, {"a": {"b": {"c": {"d": {}}}}}, {}]
)
def test_what_is_no_recipe_is_refused_in_words(server: Running, recipe: object) -> None:
    for path in ("/api/joint", "/api/write", "/api/units"):
        assert server.post(path, {"recipe": recipe, "draft": True, "units": "inch"}).status == 422


def test_no_file_is_written_that_would_not_read_back(server: Running) -> None:
    reply = server.post("/api/write", {"recipe": START | {"twist": {"turns": None}}})
    assert reply.status == 422


def test_a_file_that_is_no_recipe_is_refused_in_words(server: Running) -> None:
    for body in (
        {"text": "a = "},
        {"text": 3},
        {},
        {"text": "a = 1", "kind": "spell"},
        {"text": "x" * 200_000},
        {"text": "[wire]"},
    ):
        assert server.post("/api/read", body).status == 422
    assert server.post("/api/read", {"text": "a = ", "kind": "plan"}).status == 422
    assert server.post("/api/read", {"text": "a = 1", "kind": "plan"}).json["plan"] == "a = 1"


def test_many_at_once_are_all_answered_the_same(server: Running) -> None:
    answers: list[bytes] = []

    def ask() -> None:
        answers.append(server.joint({"recipe": START, "draft": True}).body)

    threads = [threading.Thread(target=ask) for _ in range(10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE_S)
    assert len(answers) == 10 and len(set(answers)) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_ctrl_c_ends_it_with_one_line_and_its_processes_with_it(page: tuple[subprocess.Popen[str], Running]) -> None:
    command, server = page
    children = Path(f"/proc/{command.pid}/task/{command.pid}/children")
    processes = [int(each) for each in children.read_text(encoding="ascii").split()] if children.exists() else []
    assert processes or not children.exists()
    waiting = socket.create_connection(("127.0.0.1", server.port))  # an open connection must not keep it
    big = START | {"twist": {"turns": 1000}, "barrel": {"wraps": 1000}}
    busy = threading.Thread(target=lambda: server.raw(request(big)))  # nor work that goes on
    busy.start()
    time.sleep(0.2)
    command.send_signal(signal.SIGINT)
    assert command.wait(PATIENCE_S) == 0
    assert command.stdout and command.stderr
    assert command.stdout.read() == "Nothing leaves this machine. Ctrl-C ends it.\n"
    assert command.stderr.read() == "The page has ended.\n"
    assert all(gone(process) for process in processes)
    busy.join(PATIENCE_S)
    waiting.close()


def request(recipe: dict[str, Any]) -> bytes:
    body = json.dumps({"recipe": recipe, "draft": False}).encode()
    head = b"POST /api/joint HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\nContent-Type: application/json\r\n"
    return head + b"Content-Length: %d\r\n\r\n" % len(body) + body


# ---------------------------------------------------------------- the command


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The command ends at once after it would have served; the addresses that the browser would have opened."""
    found: list[str] = []

    def serve(app: object, at: socket.socket, ready: Any) -> None:
        with at:
            ready()

    monkeypatch.setattr(serving, "serve", serve)
    monkeypatch.setattr(serving, "open_browser", found.append)
    return found


def test_a_port_in_use_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    with listening("127.0.0.1", 0) as taken:
        port = taken.getsockname()[1]
        assert main(["page", "--no-open", "--port", str(port)]) == 2
    assert capsys.readouterr().err == f"helix: --port: {port} is in use; leave the port out for a free one\n"


def test_without_a_port_a_free_one_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    with listening("127.0.0.1", 0) as taken:
        monkeypatch.setattr(serving, "PORT", taken.getsockname()[1])
        with listening("127.0.0.1", None) as other:
            assert other.getsockname()[1] not in (0, serving.PORT)
    with listening("127.0.0.1", None) as first:
        assert first.getsockname()[1] == serving.PORT


def test_an_empty_host_does_not_open_the_page_to_other_machines(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["page", "--no-open", "--host="]) == 2
    assert capsys.readouterr().err.startswith("helix: --host: must be an address of this machine")


@pytest.mark.parametrize("port", ["70000", "-1", "x", "1.5", "", "80 81"])
def test_what_is_no_port_is_one_line(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["page", "--no-open", f"--port={port}"]) == 2
    assert re.fullmatch(r"helix: --port: must be .*\n", capsys.readouterr().err)


def test_a_host_that_is_not_of_this_machine_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    for host in ("192.0.2.1", "no-such-host.invalid"):
        assert main(["page", "--no-open", "--host", host]) == 2
        assert re.fullmatch(r"helix: --host: .*\n", capsys.readouterr().err)


def test_faults_of_the_recipe_and_of_the_port_come_together(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    recipe = tmp_path / "bad.toml"
    recipe.write_text(DEMO.read_text(encoding="utf-8").replace("turns = 5", "turns = -5"), encoding="utf-8")
    assert main(["page", str(recipe), "--port", "x"]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 2 and "turns" in lines[0] and "--port" in lines[1]


def test_this_machine_only_opens_the_browser_without_a_warning(
    opened: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["page", "--port", "0"]) == 0
    said = capsys.readouterr()
    assert said.err == "The page has ended.\n" and f"The page is at {opened[0]}\n" in said.out
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", opened[0])
    assert main(["page", "--port", "0", "--no-open"]) == 0 and len(opened) == 1


def test_beyond_this_machine_there_is_a_warning(opened: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["page", "--port", "0", "--host", "0.0.0.0"]) == 0
    said = capsys.readouterr()
    assert re.search(r"helix: 0\.0\.0\.0 is open to other machines: .*no password", said.err)
    assert "Nothing leaves" not in said.out and opened[0].startswith("http://127.0.0.1:")


def test_the_recipe_to_open_stands_in_the_address(opened: list[str]) -> None:
    assert main(["page", str(DEMO), "--port", "0"]) == 0
    assert main(["page", str(DEMO), "--port", "0", "--units", "inch"]) == 0
    assert main(["page", "--port", "0", "--units", "inch"]) == 0
    metric, inch, first = (dict(parse_qsl(address.partition("#")[2])) for address in opened)
    assert metric["twist.turns"] == "5" and metric["eye.pin"].endswith(" mm")
    assert inch["units"] == first["units"] == "inch" and inch["eye.pin"].endswith(" in")


def test_text_that_looks_like_a_number_stays_text() -> None:
    tables = {
        "title": "12",
        "x": {"a": "true", "b": True, "c": 1.5, "d": '"q"', "e": "[1]", "f": "6 mm", "g": "trueish", "h": [1, "a"]},
    }
    said = dict(parse_qsl(fragment(tables)))
    assert said == {
        "title": '"12"', "x.a": '"true"', "x.b": "true", "x.c": "1.5", "x.d": '"\\"q\\""', "x.e": '"[1]"', "x.f": "6 mm",
        "x.g": "trueish", "x.h": '[1, "a"]',
    }  # fmt: skip


def test_addresses_and_loopback() -> None:
    assert address_of("::", 1) == "http://[::1]:1/" and address_of("localhost", 1) == "http://localhost:1/"
    assert is_loopback("127.8.0.1") and not is_loopback("::") and not is_loopback("localhost.example.org")
