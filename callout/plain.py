"""Text that may be shown: nothing in it steers a terminal, turns the writing round or is unseen.

Unicode's categories decide: Cc (control characters), Cf (format characters, such as those that turn
the writing round, and spaces without width), Cs (halves of characters), Zl and Zp (line ends that
an editor does not count). Two format characters are needed in names of Persian and of India: the
joiner and the non-joiner (Unicode 15.0, section 23.2); they may stand after a letter or its mark.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from typing import Final

UNSEEN: Final = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})
"""The categories that may not be shown as they are."""
JOINERS: Final = "\u200c\u200d"
LONGEST: Final = 500
"""Characters of an error that are shown; what it quotes may be a whole file."""
TAIL: Final = 80
"""Characters of those that are its end."""


def unseen(text: str) -> Iterator[int]:
    """The places of all characters that may not be shown as they are."""
    if text.isprintable():
        return
    for at, sign in enumerate(text):
        if unicodedata.category(sign) in UNSEEN and not _joins(text, at):
            yield at


def _joins(text: str, at: int) -> bool:
    return text[at] in JOINERS and at > 0 and unicodedata.category(text[at - 1])[0] in "LM"


def plain(text: str) -> str:
    """The text with each such character written out, as `\\x1b` or `\\u202e`."""
    places = set(unseen(text))
    if not places:
        return text
    return "".join(escaped(sign) if at in places else sign for at, sign in enumerate(text))


def escaped(sign: str) -> str:
    """A character written out."""
    return repr(sign)[1:-1] if not sign.isprintable() else f"\\u{ord(sign):04x}"


def shortened(text: str) -> str:
    """The text, its middle left out where it is longer than `LONGEST`."""
    if len(text) <= LONGEST:
        return text
    return f"{text[: LONGEST - TAIL]} … {text[-TAIL:]}"
