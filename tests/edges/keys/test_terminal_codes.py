"""What terminals send for keys. Source: ECMA-48, and what xterm documents of its own sequences."""

from __future__ import annotations

import pytest

from callout.edges.keys.terminal_codes import Token, tokens


def keys(text: str) -> list[str]:
    return [what for kind, what in tokens(text) if kind == "key"]


@pytest.mark.parametrize(
    ("sent", "expected"),
    [
        ("fs", ["f", "s"]),
        ("\r\t \x7f", ["enter", "tab", "space", "backspace"]),
        ("\x1b", ["escape"]),
        ("\x1b[A\x1bOB\x1b[C\x1b[D", ["up", "down", "right", "left"]),
        ("\x1bOP\x1b[15~\x1b[24~\x1b[25~", ["f1", "f5", "f12", "f13"]),
        ("\x1b[3~\x1b[5~\x1b[6~\x1b[2~", ["delete", "pageup", "pagedown", "insert"]),
        ("\x1b[1;5A\x1b[1;2P\x1b[3;5~", ["up", "f1", "delete"]),
        ("é+", ["é", "+"]),
        ("\x1b[200~space and more\r\x1b[201~x", ["x"]),
        ("\x1b[200~never ended", []),
        ("\x1b[99~\x1b[?1;2c\x1b[xa\x1bOz", ["a"]),
        ("\x01\x02b", ["b"]),
    ],
)
def test_what_a_terminal_sends_is_keys(sent: str, expected: list[str]) -> None:
    assert keys(sent) == expected


def test_the_focus_is_told() -> None:
    expected: list[Token] = [("focus", "out"), ("focus", "in"), ("key", "a")]
    assert tokens("\x1b[O\x1b[Ia") == expected
