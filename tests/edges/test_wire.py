"""Messages as lines: each comes back as it was, and what is no message is refused."""

from __future__ import annotations

import json
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.edges.ear import messages
from callout.edges.ear.hypotheses import Word
from callout.edges.ear.messages import COMMANDS, EVENTS, Command, HeardCall, Told
from callout.edges.ear.options import Options

st.register_type_strategy(float, st.floats(allow_nan=False, allow_infinity=False))


@given(st.one_of([st.from_type(kind) for kind in EVENTS.kinds.values()]))
def test_each_event_comes_back_as_it_was(event: Told) -> None:
    assert EVENTS.read(EVENTS.write(event)) == event


@given(st.one_of([st.from_type(kind) for kind in COMMANDS.kinds.values()]))
def test_each_command_comes_back_as_it_was(command: Command) -> None:
    assert COMMANDS.read(COMMANDS.write(command)) == command


def test_every_kind_of_message_has_a_name() -> None:
    for wire, union in ((EVENTS, Told), (COMMANDS, Command)):
        assert set(wire.kinds.values()) == set(get_args(union))


def test_a_file_s_name_that_no_encoding_can_write_is_written_in_ascii() -> None:
    """Linux's names are bytes; Python gives those that are no UTF-8 as lone surrogates, PEP 383."""
    command = messages.HearFile("caf\udce9.wav")
    line = COMMANDS.write(command)
    assert line.isascii()
    assert COMMANDS.read(line) == command


def test_a_message_is_one_json_object_on_one_line() -> None:
    line = EVENTS.write(messages.Problem("two\nlines", "DeviceError"))
    assert "\n" not in line
    assert json.loads(line)["event"] == "problem"


CALL = HeardCall((Word("home", 1.0, 1.3),), 2.0, 1.0)


@pytest.mark.parametrize(
    "line",
    ['{"event": "utter', "1", "[]", '{"kind": "x"}', '{"event": []}', '{"event": "unheard of"}',
     '{"event": "level"}', '{"event": "level", "peak": "loud"}', "[" * 9_000,
     EVENTS.write(messages.Utterance(0.0, 1.0, "home", (CALL,))).replace('"home"', "7")],
)  # fmt: skip
def test_a_line_that_is_no_message_is_refused(line: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011
        EVENTS.read(line)


def test_own_options_reach_the_ear() -> None:
    load = messages.Load("model", "networks.json", Options(least_score=-3.0, clear_db=(1.0, 2.0)))
    assert COMMANDS.read(COMMANDS.write(load)) == load
