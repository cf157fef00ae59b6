"""Hostile clients of the pages, while a game is kept: they read and change nothing.

They guess tokens, pretend to be other hosts and sites, send huge and broken bodies, begin requests
and never end them, open thousands of connections, read events slowly, and ask for files that are
none of theirs. Meanwhile calls are typed, and each answer is timed.
"""

from __future__ import annotations

import http.client
import json
import random
import socket
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from callout.edges.page.addresses import LOOPBACK
from tests.edges.page.server import free_port
from tests.faults.result import Result

SETUP = "profile: fiba-2024\nhome: Harbour Kites | 4 5 7\nguest: Quarry Foxes | 8 11\n"
NUMBERS = (4, 5, 7)
ATTACKERS = 8
CALL_EVERY_S = 2.0
HELD = 2_000
"""Connections that one attacker holds open at most."""
PATHS = ("/", "/hall/", "/partner/x/call", "/static/../process.py", "/static/%2e%2e/app.py",
         "//etc/passwd", "/hall/%00", "/static/page.css?x=1", "/" + "a" * 5_000, "/events",
         "/static/..%5cprocess.py", "/hall/../partner")  # fmt: skip
BYSTANDER = "127.0.0.2"
"""Another address of this machine, from which nobody attacks. Source: RFC 5735."""
SECRET = ("Harbour", "Quarry", "import ", "root:")
"""What no answer to a hostile request may hold."""


@dataclass
class Attack:
    """What the attackers share, and what they found."""

    port: int
    over: threading.Event = field(default_factory=threading.Event)
    seen: Counter[str] = field(default_factory=Counter)
    leaked: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def note(self, what: str) -> None:
        """Count an answer."""
        with self.lock:
            self.seen[what] += 1

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> None:
        """One request; its answer may hold no secret, and its status must refuse it."""
        connection = http.client.HTTPConnection(LOOPBACK, self.port, timeout=30)
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            content = answer.read(100_000).decode("latin-1")
            self.note(str(answer.status))
            if answer.status < 400 and not path.startswith("/static/p"):
                self.leaked.append(f"{method} {path[:60]} {answer.status}")
            self.leaked.extend(f"{path[:60]}: {word}" for word in SECRET if word in content)
        except (OSError, http.client.HTTPException, ValueError):
            self.note("broken")
        finally:
            connection.close()


def _guesses(attack: Attack, draw: random.Random) -> None:
    token = "".join(draw.choices("ABCdef123_-", k=22))
    page = draw.choice(["hall", "partner"])
    attack.ask("GET", f"/{page}/{token}{draw.choice(['', '/events'])}")


def _pretends(attack: Attack, draw: random.Random) -> None:
    body = json.dumps({"say": "home two"}).encode()
    headers = {"Content-Type": "application/json", "Host": draw.choice(["evil.example", "a:1"]),
               "Origin": "http://evil.example"}  # fmt: skip
    attack.ask("POST", "/partner/guess/call", body, **headers)


def _asks_for_files(attack: Attack, draw: random.Random) -> None:
    attack.ask(draw.choice(["GET", "PUT", "DELETE", "PATCH"]), draw.choice(PATHS))


def _sends_much(attack: Attack, draw: random.Random) -> None:
    body = draw.choice([b"[" * 5_000, b"x" * 2_000_000, b'{"say": "' + b"a" * 10_000])
    attack.ask("POST", "/partner/guess/call", body, **{"Content-Type": "application/json"})


def _sends_garbage(attack: Attack, draw: random.Random) -> None:
    begin, chunk = b" / HTTP/1.1\r\n", b"Transfer-Encoding: chunked\r\n\r\nffffffff\r\n"
    data = draw.choice([draw.randbytes(500), b"GET" + begin + b"A: b\r\n" * 3_000,
                        b"POST" + begin + chunk])  # fmt: skip
    with suppress(OSError), socket.create_connection((LOOPBACK, attack.port), timeout=5) as client:
        client.sendall(data)
        client.recv(1_000)
    attack.note("garbage")


def _holds(attack: Attack, draw: random.Random) -> None:
    """Begin many requests, end none, and close them later."""
    held = []
    with suppress(OSError):
        for _ in range(draw.choice([10, 200, HELD])):
            held.append(socket.create_connection((LOOPBACK, attack.port), timeout=5))
            held[-1].sendall(b"GET /hall/x HTTP/1.1\r\nHost:")
            if attack.over.is_set():
                break
    attack.over.wait(draw.choice([0.1, 5.0]))
    attack.note(f"held {len(held) // 100 * 100}+")
    for client in held:
        client.close()


TRICKS: Sequence[Callable[[Attack, random.Random], None]] = (
    _guesses, _pretends, _asks_for_files, _sends_much, _sends_garbage, _holds,
)  # fmt: skip


def _attacks(attack: Attack, seed: int) -> None:
    draw = random.Random(seed)
    while not attack.over.is_set():
        draw.choice(TRICKS)(attack, draw)


def _opens(url: str) -> tuple[int, float]:
    """The status of a page that somebody else opens meanwhile, and its seconds; 0 for none."""
    began, status = time.monotonic(), 0
    parts = urlsplit(url)
    connection = http.client.HTTPConnection(
        LOOPBACK, parts.port or 80, timeout=30, source_address=(BYSTANDER, 0)
    )
    with suppress(OSError, http.client.HTTPException):
        connection.request("GET", parts.path)
        status = connection.getresponse().status
    connection.close()
    return status, time.monotonic() - began


@dataclass
class Game:
    """The game that is kept meanwhile."""

    process: subprocess.Popen[str]
    lines: list[tuple[float, str]] = field(default_factory=list)
    reader: threading.Thread = field(init=False)

    def __post_init__(self) -> None:
        """Begin to read its answers."""
        self.reader = threading.Thread(target=self.read, daemon=True)
        self.reader.start()

    def type(self, call: str) -> None:
        """Type a call."""
        assert self.process.stdin is not None
        self.process.stdin.write(call + "\n")
        self.process.stdin.flush()

    def read(self) -> None:
        """Keep each line, and when it came."""
        assert self.process.stdout is not None
        with self.process.stdout as lines:
            for line in lines:
                self.lines.append((time.monotonic(), line))

    def end(self) -> None:
        """End the game."""
        assert self.process.stdin is not None
        self.process.terminate()
        self.process.wait()
        self.reader.join()
        self.process.stdin.close()

    def find(self, begin: int, text: str, limit_s: float = 60.0) -> float | None:
        """When a line with that text came; None if none does."""
        end = time.monotonic() + limit_s
        while time.monotonic() < end:
            for at, line in self.lines[begin:]:
                if text in line:
                    return at
            time.sleep(0.005)
        return None


def pages(folder: Path, seconds: int) -> Result:
    """Attack the pages of a game for that time."""
    (folder / "s.setup").write_text(SETUP, encoding="utf-8")
    game_file = folder / "saturday.game"
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "callout", "live", str(game_file), "--setup",
         str(folder / "s.setup"), "--ear", "off", "--voice", "print", "--keys", "typed",
         "--page", str(port)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
    )  # fmt: skip
    game = Game(process)
    assert game.find(0, "Hall's page") is not None
    url = next(line.split()[-1] for _, line in game.lines if "Hall's page" in line)
    for call in ("start clock", "stop clock"):
        game.type(call)
    attack = Attack(port)
    attackers = [
        threading.Thread(target=_attacks, args=(attack, seed)) for seed in range(ATTACKERS)
    ]
    for each in attackers:
        each.start()
    opened: list[tuple[int, float]] = []
    waits, called, end = [], 0, time.monotonic() + seconds
    while time.monotonic() < end:
        time.sleep(CALL_EVERY_S)
        begin, began = len(game.lines), time.monotonic()
        words = f"home two number {NUMBERS[called % len(NUMBERS)]}"
        game.type(words)
        answered = game.find(begin, f"{words}  ->  ")
        waits.append((answered or time.monotonic()) - began)
        called += answered is not None
        opened.append(_opens(url))
    attack.over.set()
    for each in attackers:
        each.join()
    time.sleep(11)  # the connections that asked nothing are closed by now
    path = urlsplit(url)
    connection = http.client.HTTPConnection(LOOPBACK, port, timeout=60)
    connection.request("GET", path.path)
    open_afterwards = connection.getresponse().status == 200
    connection.close()
    game.end()
    book = subprocess.run(
        [sys.executable, "-m", "callout", "sheet", str(game_file), "--json"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    score = json.loads(book.stdout)["book"]["score"]
    lost = abs(2 * called - score["home"]) // 2 + score["guest"]
    attack.note("page opens afterwards" if open_afterwards else "PAGE DOES NOT OPEN AFTERWARDS")
    note = f"leaked: {attack.leaked[:5]}" if attack.leaked else "nothing leaked"
    seen = sorted(wait for _, wait in opened)
    note += (
        f"; somebody else opened the page {sum(status == 200 for status, _ in opened)} of "
        f"{len(opened)} times, p95 {1000 * seen[int(0.95 * (len(seen) - 1))]:.0f} ms"
    )
    return Result(
        "hostile clients of the pages", called, lost + len(attack.leaked), waits,
        counts=dict(attack.seen), note=note,
    )  # fmt: skip
