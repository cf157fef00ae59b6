"""The errors that a person sees: each is one line, never a traceback."""

from __future__ import annotations

from pathlib import Path

from callout.plain import plain, shortened


class CalloutError(Exception):
    """Something that a person can correct; the text is one line in lower case."""

    def __init__(self, text: str = "") -> None:
        # It may quote a whole file, or characters that control a terminal.
        super().__init__(plain(shortened(text)))


class InputError(CalloutError):
    """A file that cannot be used: the text begins with `path:` or `path:line:`."""

    def __init__(self, path: Path | str, what: str, line: int | None = None) -> None:
        self.path = Path(path)
        self.what = what
        self.line = line
        place = f"{path}:{line}" if line is not None else f"{path}"
        super().__init__(f"{place}: {what}")


class ModelError(CalloutError):
    """A recognizer model or a voice is missing or damaged; the text says what to do."""


class DeviceError(CalloutError):
    """A microphone, loudspeaker, key or pedal does not work; the text says what to do."""


class JournalError(CalloutError):
    """A game's journal file cannot be opened, read or written."""


class InPlayError(JournalError):
    """A game's file is held by another program, which keeps the game."""


def why(error: Exception) -> str:
    """The system's or a library's own words for an error, in one line."""
    told = (error.strerror or str(error)).lower() if isinstance(error, OSError) else str(error)
    return " ".join(told.split())
