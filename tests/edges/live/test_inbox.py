"""The table's one queue: what came before Ctrl-C is taken before it."""

from __future__ import annotations

import signal

import pytest

from callout.edges.live.inbox import Inbox, InputEnded, Item, TypedLine


def test_what_comes_is_taken_in_its_order_and_nothing_is_waited_for_in_vain() -> None:
    inbox = Inbox()
    items: list[Item] = [TypedLine("home two"), InputEnded()]
    assert inbox.is_empty
    for item in items:
        inbox.put(item)
    assert not inbox.is_empty
    assert [inbox.next(0.0), inbox.next(0.0), inbox.next(0.0)] == [*items, None]


def test_ctrl_c_waits_its_turn() -> None:
    inbox = Inbox()
    with inbox.with_ends():
        inbox.put(TypedLine("home two"))
        signal.raise_signal(signal.SIGINT)
        assert inbox.next(0.0) == TypedLine("home two")
        with pytest.raises(KeyboardInterrupt):
            inbox.next(0.0)


def test_a_second_ctrl_c_waits_for_nothing() -> None:
    with Inbox().with_ends():
        signal.raise_signal(signal.SIGINT)
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
