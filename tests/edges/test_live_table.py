"""The table's loop with a voice that takes its time, and a call that was really heard.

The table runs in a process of its own, as PortAudio finds the sound server once for each process.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from callout.edges.file_ear import FileEar
from tests.pulse import Pulse
from tests.speech import speech_file

SETUP = """
profile: youth-6-minute
home: Harbour Kites | 4 5 12
guest: Quarry Foxes | 8 11 15
"""

ALERT = "Home, six fouls. Guest shoots one and one on the next."
"""What youth-6-minute brings at the sixth foul."""

TALKED_OVER = """
import json, sys, threading, time
from pathlib import Path
from callout.edges.live_table import LiveTable
from callout.edges.live_voice import Outlets
from callout.table.journal import Journal
from callout.table.setup import read_setup

folder, alert, heard = Path(sys.argv[1]), sys.argv[2], json.loads(sys.argv[3])
told = []

class Watched(LiveTable):
    def _on_started(self, text):
        told.append(["started", text])
        super()._on_started(text)

    def _on_finished(self, text):
        told.append(["finished", text])
        super()._on_finished(text)

    def _on_stopped(self, text):
        told.append(["stopped", text])
        super()._on_stopped(text)

def talk_over():
    end = time.monotonic() + 60
    while ["started", alert] not in told and time.monotonic() < end:
        time.sleep(0.01)
    time.sleep(1.0)
    table._inbox.put(("ear", heard))
    while ["finished", alert] not in told and time.monotonic() < end:
        time.sleep(0.01)
    table._inbox.put(("end", None))

with Journal.create(folder / "game", read_setup(folder / "setup")) as journal:
    table = Watched(journal, Outlets(voice="auto", ears="both", talk_over=True))
    for line in ["start clock", *[f"home foul number {words}" for words in
                 ["four", "four", "four", "five", "five", "twelve"]]]:
        table._inbox.put(("line", line))
    threading.Thread(target=talk_over, daemon=True).start()
    table.run(typed=True)
    table.close()
print("\\n" + json.dumps(told))
"""


@pytest.mark.thorough
def test_what_is_talked_over_is_said_again(tmp_path: Path, pulse: Pulse, ear: FileEar) -> None:
    (tmp_path / "setup").write_text(SETUP, encoding="utf-8")
    (heard,) = ear.hear(speech_file(tmp_path, "guest two number eight."))
    command = [sys.executable, "-c", TALKED_OVER, str(tmp_path), ALERT, json.dumps(heard)]
    # Its standard input stays open, as a terminal's does.
    process = subprocess.Popen(
        command, env=pulse.environment, text=True,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    try:
        assert process.stdout is not None
        printed = process.stdout.read()
    finally:
        process.kill()
        process.communicate()
    told = json.loads(printed.splitlines()[-1])
    of_alert = [what for what, text in told if text == ALERT]
    assert of_alert == ["started", "stopped", "started", "finished"]
    assert any("Guest two, number eight" in text for what, text in told if what == "finished")
