"""The pages: from a call to the changed pixel, with 1, 50 and 300 pages open, and what they cost.

The table commits a call to the disk before it prints its answer, so that the time from the answer
to the pixel is at most that from the disk to the pixel, less some tenths of a millisecond.

The real program keeps a game and serves its pages; Chromium shows one hall page, and the others are
connections that read every event. A call is typed; the moment at which the browser has drawn the
new score is taken in the browser, by the same machine's clock. The peer is the table itself: the
time until it has printed its answer, with and without pages, in the same run, first and last.
Each row has the machine's load.
"""

from __future__ import annotations

import argparse
import os
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import Page, sync_playwright

from callout.edges.page.addresses import LOOPBACK
from tests.edges.page.server import free_port

OPEN = (0, 1, 50, 300, 0)
SETUP = "profile: fiba-2024\nhome: Harbour Kites | 4 5 7\nguest: Quarry Foxes | 8 11\n"
NUMBERS = (4, 5, 7)
WATCH = """() => {
  window.drawn = [];
  const score = document.getElementById("home-score");
  new MutationObserver(() => requestAnimationFrame(() => setTimeout(() =>
    window.drawn.push([score.textContent, performance.timeOrigin + performance.now()]), 0)
  )).observe(score, {childList: true, characterData: true, subtree: true});
}"""


@dataclass
class Game:
    """A game that the program keeps."""

    process: subprocess.Popen[str]
    hall: str = ""
    began: bool = False
    answered: list[float] = field(default_factory=list)
    """When each answer was printed; seconds since 1970."""

    def type(self, call: str) -> float:
        """Type a call; when that was."""
        assert self.process.stdin is not None
        began = time.time()
        self.process.stdin.write(call + "\n")
        self.process.stdin.flush()
        return began

    def read(self) -> None:
        """Note when each answer comes."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            if line.startswith("Hall's page: "):
                self.hall = line.split()[-1]
            elif "tip home  ->" in line:
                self.began = True
            elif "->" in line and "home two" in line:
                self.answered.append(time.time())

    def wait(self, answers: int) -> None:
        """Until so many answers have come."""
        while len(self.answered) < answers:
            time.sleep(0.005)


@contextmanager
def game(folder: Path, pages: bool) -> Iterator[Game]:
    """A new game, with or without pages."""
    (folder / "s.setup").write_text(SETUP, encoding="utf-8")
    port = free_port()
    command = [sys.executable, "-m", "callout", "live", str(folder / "game"), "--setup",
               str(folder / "s.setup"), "--ear", "off", "--voice", "print", "--keys", "typed",
               *(["--page", str(port)] if pages else [])]  # fmt: skip
    process = subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    made = Game(process)
    threading.Thread(target=made.read, daemon=True).start()
    made.type("start clock")
    made.type("tip home")
    while not made.began or (pages and not made.hall):
        time.sleep(0.05)
    yield made
    process.terminate()
    process.wait()


def follower(url: str) -> socket.socket:
    """A page that only reads events, in a thread of its own."""
    parts = urlsplit(url)
    client = socket.create_connection((LOOPBACK, parts.port or 80))
    client.sendall(f"GET {parts.path}/events HTTP/1.1\r\nHost: {parts.netloc}\r\n\r\n".encode())

    def read() -> None:
        try:
            while client.recv(65_536):
                pass
        except OSError:
            return

    threading.Thread(target=read, daemon=True).start()
    return client


def page_pid(process: subprocess.Popen[str]) -> int | None:
    """The process of the pages, by its command line."""
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                words = (entry / "cmdline").read_bytes().split(b"\0")
                parent = (entry / "stat").read_text().rsplit(")", 1)[1].split()[1]
            except OSError:
                continue
            if b"callout.edges.page.process" in words and int(parent) == process.pid:
                return int(entry.name)
    return None


def cost(pid: int) -> tuple[float, float]:
    """Seconds of processor time so far, and megabytes of memory."""
    stat = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    ticks = int(stat[11]) + int(stat[12])
    rss = int(stat[21]) * os.sysconf("SC_PAGE_SIZE") / 1e6
    return ticks / os.sysconf("SC_CLK_TCK"), rss


def milliseconds(values: list[float]) -> str:
    """The median and the 95th percentile."""
    ordered = sorted(values)
    p95 = ordered[min(len(ordered) - 1, round(0.95 * len(ordered)))]
    return f"{1000 * ordered[len(ordered) // 2]:7.0f} {1000 * p95:7.0f}"


def watched(page: Page, url: str) -> None:
    """Open the page, and note when each new score is drawn."""
    page.goto(url)
    page.locator("#home-name", has_text="Harbour Kites").wait_for()
    page.evaluate(WATCH)


def measure(pages: int, calls: int, page: Page | None) -> str:
    """One row: the answer's time, the pixel's time, and what the pages cost."""
    with tempfile.TemporaryDirectory() as folder, game(Path(folder), pages > 0) as made:
        others = []
        if page is not None:
            watched(page, made.hall)
            others = [follower(made.hall) for _ in range(pages - 1)]
        pid = page_pid(made.process)
        before, started = cost(pid)[0] if pid else 0.0, time.time()
        asked = []
        for number in range(calls):
            time.sleep(0.3)
            asked.append(made.type(f"home two number {NUMBERS[number % 3]}"))
            made.wait(number + 1)
        time.sleep(0.5)
        answers = milliseconds([at - asked[nr] for nr, at in enumerate(made.answered)])
        load = os.getloadavg()[0]
        if page is None or pid is None:
            return f"{pages:5}  {answers}" + " " * 68 + f"{load:5.1f}"
        lasted = time.time() - started
        used, memory = cost(pid)
        drawn = page.evaluate("window.drawn")
        nths = [int(score) // 2 - 1 for score, _ in drawn]
        seen = [at / 1000 - asked[nth] for nth, (_, at) in zip(nths, drawn, strict=True)]
        after = [at / 1000 - made.answered[nth] for nth, (_, at) in zip(nths, drawn, strict=True)]
        share = 100 * (used - before) / lasted
        for each in others:
            each.close()
        page.goto("about:blank")
        costs = f"{memory:5.0f} MB  {share:4.1f} %   {load:5.1f}"
        return (f"{pages:5}  {answers}  {milliseconds(seen)}  {milliseconds(after)}"
                f"   {len(seen)} of {calls}   {costs}")  # fmt: skip


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--calls", type=int, default=60)
    given = options.parse_args()
    print("pages  answer p50, p95   pixel p50, p95   pixel after the answer p50, p95 (ms)"
          "   drawn   memory, share of a core   load")  # fmt: skip
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox"]
        )
        for pages in OPEN:
            page = browser.new_page() if pages else None
            print(measure(pages, given.calls, page), flush=True)
        browser.close()


if __name__ == "__main__":
    main()
