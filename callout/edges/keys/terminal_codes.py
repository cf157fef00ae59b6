"""The codes that a terminal sends for its keys, and the keys' names."""

from __future__ import annotations

import re
from typing import Final, Literal

PLAIN: Final = {"\r": "enter", "\n": "enter", "\t": "tab", " ": "space", "\x7f": "backspace",
                "\x08": "backspace", "\x1b": "escape"}  # fmt: skip

FINALS: Final = {"A": "up", "B": "down", "C": "right", "D": "left", "H": "home", "F": "end",
                 "P": "f1", "Q": "f2", "R": "f3", "S": "f4", "M": "kp_enter"}  # fmt: skip
"""The keys of `ESC [ LETTER` and `ESC O LETTER`. Source: ECMA-48 and DEC's terminals."""

TILDES: Final = {1: "home", 2: "insert", 3: "delete", 4: "end", 5: "pageup", 6: "pagedown",
                 7: "home", 8: "end", 11: "f1", 12: "f2", 13: "f3", 14: "f4", 15: "f5", 17: "f6",
                 18: "f7", 19: "f8", 20: "f9", 21: "f10", 23: "f11", 24: "f12", 25: "f13",
                 26: "f14", 28: "f15", 29: "f16", 31: "f17", 32: "f18", 33: "f19",
                 34: "f20"}  # fmt: skip
"""The keys of `ESC [ NUMBER ~`."""

SEQUENCE: Final = re.compile(r"\x1b(?:\[(?P<csi>[0-?]*[ -/]*[@-~])|O(?P<ss3>.))")
PASTE: Final = re.compile(r"\x1b\[200~.*?(?:\x1b\[201~|\Z)", re.DOTALL)

Token = tuple[Literal["key", "focus"], str]


def tokens(text: str) -> list[Token]:
    """The keys in what a terminal sent; pasted text is no key."""
    text, found = PASTE.sub("", text), list[Token]()
    while text:
        match = SEQUENCE.match(text)
        if match is None:
            key = PLAIN.get(text[0], text[0])
            if key.isprintable():
                found.append(("key", key))
            text = text[1:]
            continue
        text = text[match.end() :]
        if match["csi"] in ("I", "O"):
            found.append(("focus", "in" if match["csi"] == "I" else "out"))
        elif key := _named(match["csi"], match["ss3"]):
            found.append(("key", key))
    return found


def _named(csi: str | None, ss3: str | None) -> str:
    """The key of a sequence; empty for an unknown one."""
    if ss3 is not None:
        return FINALS.get(ss3, "")
    parameters, final = (csi or " ")[:-1], (csi or " ")[-1]
    if parameters[:2] == "1;" or not parameters:
        # Modifiers do not change the key's name.
        return FINALS.get(final, "")
    number = parameters.partition(";")[0]
    return TILDES.get(int(number), "") if final == "~" and number.isdecimal() else ""
