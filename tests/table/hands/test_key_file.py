"""A person's own keys: what a file may hold, and each mistake with its line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.errors import InputError
from callout.game.terms import Team
from callout.language.grammar import Scope
from callout.language.pattern import PatternError
from callout.table.hands.key_file import meaning, read_keys
from callout.table.hands.keymap import Hand, KeyMap
from callout.table.language import keys_of, patterns_of
from tests.english import english_grammar

GRAMMAR = english_grammar()
PATTERNS = patterns_of(GRAMMAR)
Read = Callable[[str], KeyMap]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Reads a file of that text."""

    def write(text: str) -> KeyMap:
        path = tmp_path / "own.toml"
        path.write_text(text, encoding="utf-8")
        return read_keys(path, GRAMMAR, Scope())

    return write


def test_an_empty_file_leaves_the_keys_of_the_language(read: Read) -> None:
    assert read("") == keys_of(GRAMMAR)


def test_own_keys_say_what_a_voice_would(read: Read) -> None:
    found = read(
        """
        bounce_ms = 25
        [keys]
        x = "Home two"
        "+" = "{team} two"
        f9 = ["stop clock", "start clock"]
        1 = "done"
        enter = "1"
        [everywhere]
        f13 = "start clock"
        "f13 long" = "tap to talk"
        [pedal]
        device = "/dev/input/by-id/usb-Pedal-event-kbd"
        a = "talk"
        "a+b" = "home"
        """
    )
    assert found.feel.bounce_ms == 25
    assert found.keys["x"] == (PATTERNS.read("home two"),)
    assert found.keys["f9"] == (PATTERNS.read("stop clock"), PATTERNS.read("start clock"))
    assert (found.keys["1"], found.keys["enter"]) == (Hand.DONE, "1")
    assert found.everywhere == {"f13": (PATTERNS.read("start clock"),), "f13 long": Hand.TAP}
    assert found.device == "/dev/input/by-id/usb-Pedal-event-kbd"
    assert found.pedal == {"a": Hand.TALK, "a+b": Team.HOME}


def test_two_keys_one_after_another(read: Read) -> None:
    found = read('[keys]\n"p g" = "mark that"\n"§ 1" = "home two"\n'.replace("§", "f9"))
    assert found.keys["p g"] == (PATTERNS.read("mark that"),)
    assert found.keys["f9 1"] == (PATTERNS.read("home two"),)
    assert "p m" not in found.keys
    alone = read('[keys]\np = "home two"\n')
    assert [key for key in alone.keys if key.startswith("p ")] == []


def test_a_call_that_is_given_a_key_of_one_s_own_has_lost_the_other(read: Read) -> None:
    found = read('[keys]\nx = "stop clock"\n')
    assert "space" not in found.keys
    assert found.keys["tab"] == (PATTERNS.read("start clock"),)
    assert read('[pedal]\na = "stop clock"\n').keys["space"] == (PATTERNS.read("stop clock"),)


@pytest.mark.parametrize(
    ("text", "line", "what"),
    [
        ('[keys]\nx = "start cock"\n', 2, "x: expected a call, got 'start cock'"),
        ('[keys]\nx = "home {player}"\n', 2, "x: expected a call, got 'home {player}'"),
        ('[keys]\n\nx = 5\n', 3, "x: expected words, got 5"),
        ('[keys]\nx = []\n', 2, "x: expected words, got []"),
        ('[keys]\nx = ["start clock", 3]\n', 2, "x: expected words, got 3"),
        ('[keys]\nbutton = "undo that"\n', 2, "expected a key, got 'button'"),
        ('[keys]\nf25 = "undo that"\n', 2, "expected a key, got 'f25'"),
        ('[pedal]\n"a+a" = "undo that"\n', 2, "expected each key once, got 'a+a'"),
        ('[pedal]\n"a+b long" = "undo that"\n', 2,
         "expected keys together or one held long, got 'a+b long'"),
        ('[keys]\n"a+b" = "undo that"\n', 2, "expected a single key"),
        ('[keys]\n"a long" = "undo that"\n', 2, "expected a single key"),
        ('[keys]\n"p §" = "undo that"\n', 2, "expected a key, got '§'"),
        ('[keys]\n"p g m" = "undo that"\n', 2, "expected a key, got 'g m'"),
        ('[pedal]\n"a b" = "undo that"\n', 2, "expected a key, got 'a b'"),
        ('[keys]\n"s g" = "undo that"\n', 2,
         "expected a first key without a meaning of its own, got 's'"),
        ('[keys]\np = "home two"\n"p g" = "undo that"\n', 3,
         "expected a first key without a meaning of its own, got 'p'"),
        ('[keys]\nx = "talk"\n', 2, "expected 'tap to talk'"),
        ('[pedal]\na = "type"\n', 2, "expected a single character in [keys] for 'type'"),
        ('[keys]\nx = "undo that"\nz = "undo  that"\n', 3,
         "expected one key for each call, got 'z' beside 'x' of line 2"),
        ('[keys]\nx = "undo that"\n[pedal]\na = "undo that"\n', 4,
         "expected one key for each call, got 'a' beside 'x' of line 2"),
        ('[keys]\nx = "undo that"\nx = "mark that"\n', 3, "expected TOML"),
        ("bounce_ms = -1\n", 1, "bounce_ms: expected milliseconds from 0 to 200, got -1"),
        ("\nlong_ms = true\n", 2, "long_ms: expected milliseconds from 100 to 5000, got True"),
        ("[kets]\n", 1, "expected one of bounce_ms, "),
        ("keys = 3\n", 1, "expected one of bounce_ms, "),
        ('[pedal]\ndevice = 3\n', 2, "device: expected words, got 3"),
        ('[keys]\nx = ["undo that"' + ', "undo that"' * 10 + "]\n", 2,
         "x: expected at most 10 calls, got 11"),
        ("\n[everywhere]\n" + "".join(f'"a+kp_{n}" = "home"\n' for n in range(201)), 2,
         "[everywhere]: expected at most 200 keys, got 201"),
        ("a." * 900 + "a = 1\n", 1, "expected at most 100 dots, got 900"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_its_line(
    read: Read, tmp_path: Path, text: str, line: int, what: str
) -> None:
    with pytest.raises(InputError) as caught:
        read(text)
    assert str(caught.value).startswith(f"{tmp_path / 'own.toml'}:{line}: {what}")


def test_a_file_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="expected a file that can be read: no such file"):
        read_keys(tmp_path / "none.toml", GRAMMAR, Scope())
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\xff")
    with pytest.raises(InputError, match="expected a text file in UTF-8, got other bytes"):
        read_keys(tmp_path / "bytes.toml", GRAMMAR, Scope())


def test_the_line_of_a_quoted_key_is_found(read: Read, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"own\.toml:3: "):
        read('[keys]\na = "undo that"\n"=" = "nothing"\n')
    with pytest.raises(InputError, match=r"own\.toml:2: "):
        read('[keys]\n\'"\' = "nothing"\n')


@pytest.mark.parametrize(
    ("words", "expected"),
    [("talk", Hand.TALK), ("tap to talk", Hand.TAP), ("home", Team.HOME), ("7", "7")],
)
def test_words_have_a_meaning_of_their_own_or_are_a_call(words: str, expected: object) -> None:
    assert meaning(words, PATTERNS) == expected
    assert meaning("home two", PATTERNS) == (PATTERNS.read("home two"),)
    with pytest.raises(PatternError, match="expected a call, got 'home tow'"):
        meaning("home tow", PATTERNS)
