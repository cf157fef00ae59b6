"""The table's side of the ear: what its process is to do, and what it tells."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from callout.edges.child import REAL, SupervisedChild, Supervision
from callout.edges.ear.messages import (
    COMMANDS,
    EVENTS,
    Command,
    Event,
    FileDone,
    Gate,
    HearFile,
    Idle,
    Listen,
    Load,
    Mode,
    Press,
    Problem,
    Ready,
    Release,
    Told,
    Use,
    Utterance,
)
from callout.edges.ear.options import MEASURED, Options
from callout.edges.private_folder import PrivateFolder
from callout.errors import CalloutError, why
from callout.language.network import Network
from callout.table.book.files import make_private

MODULE: Final = "callout.edges.ear.process"

HANGS_S: Final = 10
"""An ear that writes nothing for this time hangs, and is killed."""

LOADS_S: Final = 60
"""The additional time for loading the model: the machine may be busy."""

PREFIX: Final = "callout-ear-"
"""Its folders among the temporary files begin with this."""


class Hearing:
    """An ear in its own process; events come to `tell`, on a thread of its own."""

    def __init__(
        self,
        model: Path,
        networks: Mapping[str, Network],
        tell: Callable[[Event], None],
        options: Options = MEASURED,
        *,
        hangs_s: float = HANGS_S,
        by: Supervision = REAL,
    ) -> None:
        """The first of the networks is the one in use.

        Raises:
            CalloutError: there is no place for temporary files.
        """
        self._tell = tell
        self._name = next(iter(networks))
        self._listening: Listen | None = None
        self._gated = False
        try:
            self._folder = PrivateFolder(PREFIX)
            file = _networks_file(self._folder.path, networks)
        except OSError as error:
            raise CalloutError(f"the ear has no place for its files: {why(error)}") from None
        self._load = Load(str(model), str(file), options)
        self._child = SupervisedChild(
            "ear",
            (MODULE, str(self._folder.path / "ear")),
            EVENTS,
            took=self._took,
            changed=tell,
            greet=self._greet,
            loads_s=LOADS_S + hangs_s,
            hangs_s=hangs_s,
            by=by,
        )

    def start(self) -> None:
        """Start the process and load the model; `Ready` or `Problem` follows as an event."""
        self._child.start()

    def _greet(self) -> None:
        """Tell a new process what the one before it knew."""
        self._do(Use(self._name))
        self._do(self._load)
        if self._listening is not None:
            self._do(self._listening)
            self._do(Gate(self._gated))

    def _took(self, event: Told) -> None:
        match event:
            case Idle():
                return
            case Problem(what) if event.is_fatal and self._child.was_ready:
                # The model was there, and may be there again.
                print(f"ear: {what}", file=sys.stderr, flush=True)
                self._child.kill()
                return
        self._tell(event)
        match event:
            case Ready():
                self._child.ready()
            case Utterance() | FileDone():
                self._child.worked()

    def _do(self, command: Command) -> None:
        self._child.write(COMMANDS.write(command))

    def listen(self, device: str | None, mode: Mode) -> None:
        """Hear the microphone."""
        self._listening = Listen(device, mode)
        self._do(self._listening)

    def hear_file(self, path: Path) -> None:
        """Hear a sound file; its utterances and `FileDone` follow as events."""
        self._do(HearFile(str(path)))

    def use(self, name: str) -> None:
        """Hear by the network of that name."""
        self._name = name
        self._do(Use(name))

    def press(self) -> None:
        """The key to talk goes down."""
        self._do(Press())

    def release(self) -> None:
        """The key to talk comes up."""
        self._do(Release())

    def gate(self, closed: bool) -> None:
        """Hear nothing while the table itself speaks; a process started meanwhile hears nothing."""
        self._gated = closed
        self._do(Gate(closed))

    @property
    def pid(self) -> int | None:
        """The process, for those who measure it."""
        return self._child.pid

    def close(self) -> None:
        """End the process."""
        self._child.close()
        self._folder.close()


def _networks_file(folder: Path, networks: Mapping[str, Network]) -> Path:
    """The networks in a file: through a small pipe the table would wait until the ear reads."""
    path = folder / "networks.json"
    make_private(path)
    told = {name: network.to_dict() for name, network in networks.items()}
    path.write_text(json.dumps(told), encoding="utf-8")
    return path
