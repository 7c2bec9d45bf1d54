"""Many people at the page at once: drafts, full answers and reports from 20 clients for 20 s, on this machine only.

    .venv/bin/python scripts/benches/page_load.py [--clients N] [--seconds S] [--corners]

Starts `helix page` itself and ends it. Prints what was answered and how soon, every error, the memory of the server
and of its processes before and after. Exit code 1 when there was an error or the memory grew by more than a quarter.

--corners: recipes at two ends of the ranges of their keys, where a joint that cannot exist is an answer too, and a draft
that is turned away one that came late at worst. Exit code 1 also when a draft took over 1 s, its being turned away
included, or the server over 300 MB at any time.
"""

from __future__ import annotations

import argparse
import http.client
import json
import random
import re
import statistics
import subprocess
import sys
import threading
import time
import tomllib
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
RECIPE: dict[str, Any] = {
    "wire": {"size": "MWG 12", "material": "302 stainless"},
    "eye": {"pin": "6 mm"},
    "twist": {"turns": 5, "lay_length": "4 d"},
    "barrel": {"wraps": 5},
}
SHARES = {"draft": 0.70, "full": 0.12, "form": 0.08, "file": 0.05, "job": 0.05}
PATIENCE_S = 60.0
MOST_DRAFT_S, MOST_MB = 1.0, 300.0
GROWTH = 1.25


class Client(threading.Thread):
    """One person: asks, waits for the answer, asks again."""

    def __init__(self, number: int, port: int, until: float, recipes: list[dict[str, Any]]) -> None:
        super().__init__(daemon=True)
        self.chance = random.Random(number)
        self.recipes = recipes
        self.port, self.until = port, until
        self.times: dict[str, list[float]] = defaultdict(list)
        self.turned_away: dict[str, int] = defaultdict(int)
        self.slowest_away: dict[str, float] = defaultdict(float)
        self.errors: list[str] = []

    def run(self) -> None:
        self.talk = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        kinds: dict[str, Callable[[dict[str, Any]], int]] = {
            "draft": lambda recipe: self.post("/api/joint", {"recipe": recipe, "draft": True})[0],
            "full": lambda recipe: self.post("/api/joint", {"recipe": recipe, "draft": False})[0],
            "form": lambda recipe: self.post("/api/pane/form", {"recipe": recipe, "units": "metric"})[0],
            "file": lambda recipe: self.post("/api/write", {"recipe": recipe})[0],
            "job": self.job,
        }
        while time.monotonic() < self.until:
            kind = self.chance.choices(list(SHARES), list(SHARES.values()))[0]
            recipe = self.recipe()
            began = time.monotonic()
            try:
                status = kinds[kind](recipe)
            except (OSError, http.client.HTTPException) as error:
                self.errors.append(f"{kind}: {type(error).__name__}: {error}")
                self.talk.close()
                continue
            seconds = time.monotonic() - began
            if status == 503:
                self.turned_away[kind] += 1
                self.slowest_away[kind] = max(self.slowest_away[kind], seconds)
            elif status != 200 and not (status == 422 and self.recipes):
                self.errors.append(f"{kind}: answered {status}")
            else:
                self.times[kind].append(seconds)
        self.talk.close()

    def recipe(self) -> dict[str, Any]:
        """One of those that were given, or a good one of so many turns and wraps."""
        if self.recipes:
            return self.chance.choice(self.recipes)
        twist, barrel = ({name: self.chance.randint(2, 12)} for name in ("turns", "wraps"))
        return {**RECIPE, "twist": RECIPE["twist"] | twist, "barrel": barrel}

    def post(self, path: str, body: object) -> tuple[int, bytes]:
        return self.ask("POST", path, json.dumps(body).encode())

    def ask(self, method: str, path: str, body: bytes | None = None) -> tuple[int, bytes]:
        self.talk.request(method, path, body, {"Content-Type": "application/json"})
        reply = self.talk.getresponse()
        return reply.status, reply.read()

    def job(self, recipe: dict[str, Any]) -> int:
        """Start the question whether it holds; half of the time wait for its end, else cancel it."""
        status, content = self.post("/api/pane/hold", {"recipe": recipe, "units": "metric"})
        if status != 202:
            return status
        path = f"/api/job/{json.loads(content)['job']}"
        if self.chance.random() < 0.5:
            return self.ask("DELETE", path)[0]
        while True:
            status, content = self.ask("GET", path)
            state = json.loads(content)["state"]
            if status != 200 or state not in ("waiting", "running"):
                return 200 if state == "done" else 422 if state == "failed" and self.recipes else 500
            time.sleep(0.25)


def memory_mb(process: int, what: str = "VmRSS") -> float:
    """Resident memory of a process, now or (VmHWM) at most."""
    found = re.search(rf"{what}:\s*(\d+) kB", Path(f"/proc/{process}/status").read_text(encoding="ascii"))
    return int(found[1]) / 1024 if found else 0.0


def children_of(process: int) -> list[int]:
    return [
        int(child) for child in Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()
    ]


def corner_recipes() -> list[dict[str, Any]]:
    """Tables of recipes at two ends of the ranges of their keys."""
    sys.path.insert(0, str(ROOT))
    from tests.attack.corners import pairs, text_of

    return [tomllib.loads(text_of(corner)) for corner in pairs()]


def crowd(port: int, clients: int, seconds: float, recipes: list[dict[str, Any]]) -> list[Client]:
    until = time.monotonic() + seconds
    found = [Client(number, port, until, recipes) for number in range(clients)]
    for client in found:
        client.start()
    for client in found:
        client.join(seconds + PATIENCE_S)
    return found


def report(clients: list[Client]) -> list[str]:
    """Print how it went; return the errors."""
    print(f"{'asked for':10} {'answers':>8} {'median':>9} {'19 of 20':>9} {'worst':>9}   turned away")
    for kind in SHARES:
        times = sorted(second for client in clients for second in client.times[kind])
        away = sum(client.turned_away[kind] for client in clients)
        if times:
            shown = (statistics.median(times), times[int(0.95 * (len(times) - 1))], times[-1])
            print(f"{kind:10} {len(times):8} " + " ".join(f"{1000 * each:6.0f} ms" for each in shown) + f"   {away}")
        else:
            print(f"{kind:10} {0:8} {'':29}   {away}")
    errors = [error for client in clients for error in client.errors]
    errors += ["a client that does not end" for client in clients if client.is_alive()]
    latest = max((client.slowest_away["draft"] for client in clients), default=0.0)
    print(f"a draft was turned away after {1000 * latest:.0f} ms at most")
    if any(client.recipes for client in clients):
        slow = [each for client in clients for each in client.times["draft"] if each > MOST_DRAFT_S]
        errors += ["a draft that took over 1 s"] * (len(slow) + (latest > MOST_DRAFT_S))
    print(f"errors: {len(errors)}")
    for error in sorted(set(errors)):
        print(f"  {errors.count(error)} x {error}")
    return errors


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--clients", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--corners", action="store_true")
    options = parser.parse_args()
    recipes = corner_recipes() if options.corners else []
    command = [sys.executable, "-m", "helix", "page", "--no-open", "--port", "0"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as server:
        try:
            line = server.stdout.readline() if server.stdout else ""
            found = re.search(r":(\d+)/", line)
            if found is None:
                print(f"helix page did not come up: {line}")
                return 1
            port = int(found[1])
            crowd(
                port, options.clients, min(options.seconds, 5.0), recipes
            )  # everything is loaded, every buffer has grown
            before = memory_mb(server.pid)
            clients = crowd(port, options.clients, options.seconds, recipes)
            errors = report(clients)
            after = memory_mb(server.pid)
            most_mb = memory_mb(server.pid, "VmHWM")
            print(f"memory of the server: {before:.0f} MB before, {after:.0f} MB after, {most_mb:.0f} MB at most")
            time.sleep(2.0)
            print(
                "memory of its processes: "
                + ", ".join(f"{memory_mb(child):.0f} MB" for child in children_of(server.pid))
            )
            return 1 if errors or after > GROWTH * before or (recipes and most_mb > MOST_MB) else 0
        finally:
            server.terminate()


if __name__ == "__main__":
    sys.exit(main())
