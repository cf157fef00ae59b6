"""The pages' processes answer those who ask, and ask nobody themselves.

Source: the system calls, as strace prints them (strace(1), trace=network).
"""

from __future__ import annotations

import http.client
import subprocess
import sys
from pathlib import Path

import pytest

from callout.edges.child_environment import child_environment
from callout.edges.page.addresses import LOOPBACK
from callout.edges.page.messages import COMMANDS, EVENTS, Beat, Open, Ready, Show
from tests.edges.page.server import free_port
from tests.edges.test_spreadsheet import workbook
from tests.patience import HANG_S
from tests.trace import addresses, strace


def test_it_opens_no_connection(tmp_path: Path) -> None:
    trace, port = tmp_path / "trace", free_port()
    process = subprocess.Popen(
        [*strace(trace), sys.executable, "-m", "callout.edges.page.process", str(port)],
        env=child_environment(), stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdin is not None
    assert process.stdout is not None
    for command in (
        Open("h" * 22, "p" * 22, "a" * 22, "x.game", "en"),
        Show({"score": 1}, {}),
        Beat(1, True),
    ):
        process.stdin.write(COMMANDS.write(command) + "\n")
    process.stdin.flush()
    assert EVENTS.read(process.stdout.readline()) == Ready()
    for path, status in ((f"/hall/{'h' * 22}", 200), ("/", 404), ("/static/page.js", 200)):
        connection = http.client.HTTPConnection(LOOPBACK, port, timeout=HANG_S)
        connection.request("GET", path)
        assert connection.getresponse().status == status
        connection.close()
    process.communicate(timeout=HANG_S)
    assert process.returncode == 0
    told = trace.read_text(errors="replace")
    assert "+++ exited with 0 +++" in told
    assert [str(each) for each in addresses(told) if each.sends and each.place] == []


@pytest.mark.thorough
def test_the_set_up_page_opens_no_connection(tmp_path: Path) -> None:
    """Workbooks may name pictures and data elsewhere; the library must fetch none."""
    trace, port = tmp_path / "trace", free_port()
    process = subprocess.Popen(
        [*strace(trace), sys.executable, "-m", "callout", "new", "--page", str(port)],
        env=child_environment(), cwd=tmp_path, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdout is not None
    path = "/setup/" + process.stdout.readline().strip().rpartition("/")[2]
    book = workbook(["No.", "Name"], [4, "Ada"])
    for where, body in (("", None), ("/facts", None), ("/list", book), ("/end", b"{}")):
        connection = http.client.HTTPConnection(LOOPBACK, port, timeout=HANG_S)
        connection.request("GET" if body is None else "POST", path + where, body)
        answer = connection.getresponse()
        assert answer.status in (200, 202)
        assert where != "/list" or b"Ada" in answer.read()
        connection.close()
    process.communicate(timeout=HANG_S)
    told = trace.read_text(errors="replace")
    assert "+++ exited with 0 +++" in told
    assert [str(each) for each in addresses(told) if each.sends and each.place] == []
