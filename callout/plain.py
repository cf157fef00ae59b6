"""Text that is safe to show: no terminal controls, no reversed writing, nothing invisible.

Unicode's categories decide: Cc (control characters), Cf (format characters, which include the
bidirectional controls and zero-width spaces), Cs (surrogates), Zl and Zp (line ends that editors do
not count). Two format characters are needed in Persian and Indian names: the zero-width joiner and
non-joiner (Unicode 15.0, section 23.2). They are allowed after a letter or a mark.
"""

from __future__ import annotations

import shlex
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import Final

UNSEEN: Final = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})
"""The categories of characters that are never shown as they are."""
JOINERS: Final = "\u200c\u200d"
LONGEST: Final = 500
"""Characters of an error that are shown; an error may quote a whole file."""
TAIL: Final = 80
"""How many of them are taken from its end."""


def unseen(text: str) -> Iterator[int]:
    """The indices of all characters that may not be shown as they are."""
    if text.isprintable():
        return
    for at, sign in enumerate(text):
        if unicodedata.category(sign) in UNSEEN and not _joins(text, at):
            yield at


def _joins(text: str, at: int) -> bool:
    return text[at] in JOINERS and at > 0 and unicodedata.category(text[at - 1])[0] in "LM"


def plain(text: str) -> str:
    """The text with each such character written as an escape: `\\x1b`, `\\u202e`."""
    places = set(unseen(text))
    if not places:
        return text
    return "".join(escaped(sign) if at in places else sign for at, sign in enumerate(text))


def quoted(word: Path | str) -> str:
    """A path or a word as it is typed into a shell, in a command that is shown to be copied."""
    return shlex.quote(plain(str(word)))


def without_unseen(text: str) -> str:
    """The text without any such character."""
    places = set(unseen(text))
    return "".join(sign for at, sign in enumerate(text) if at not in places) if places else text


def escaped(sign: str) -> str:
    """A character as an escape."""
    return repr(sign)[1:-1] if not sign.isprintable() else f"\\u{ord(sign):04x}"


def shortened(text: str) -> str:
    """The text, without its middle if it is longer than `LONGEST`."""
    if len(text) <= LONGEST:
        return text
    return f"{text[: LONGEST - TAIL]} … {text[-TAIL:]}"
