"""Signals in this very process; what they do to a terminal is tested in `test_terminal_keys`."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator

import pytest

from callout.edges.signals import (
    ENDS,
    end_no_more,
    ended_in_order,
    hold_terminal,
    told_of_end,
)


@pytest.fixture(autouse=True)
def _as_at_a_terminal() -> Iterator[None]:
    """No signal is ignored, as by nohup or in the background; then all are as before."""
    before = {each: signal.signal(each, signal.SIG_DFL) for each in ENDS}
    before[signal.SIGINT] = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    for each, handler in before.items():
        signal.signal(each, handler)


@pytest.mark.parametrize("number", ENDS)
def test_a_signal_that_ends_programs_ends_what_is_inside_as_ctrl_c_does(number: int) -> None:
    with pytest.raises(KeyboardInterrupt), ended_in_order():
        signal.raise_signal(number)
    signal.raise_signal(number)  # A second one, when all is closed, changes nothing.


@pytest.mark.parametrize("number", ENDS)
def test_what_ended_by_itself_leaves_the_signals_as_they_were(number: int) -> None:
    before = signal.getsignal(number)
    with ended_in_order():
        assert signal.getsignal(number) is not before
    assert signal.getsignal(number) is before


def test_what_is_ending_is_not_broken_off() -> None:
    with ended_in_order():
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGHUP)
        signal.raise_signal(signal.SIGTERM)
        signal.raise_signal(signal.SIGHUP)


def test_what_ends_by_itself_is_not_broken_off_either() -> None:
    with ended_in_order():
        end_no_more()
        signal.raise_signal(signal.SIGTERM)


def test_an_end_of_before_is_none_of_the_next() -> None:
    end_no_more()
    with pytest.raises(KeyboardInterrupt), ended_in_order():
        signal.raise_signal(signal.SIGTERM)


def test_the_first_ctrl_c_is_told_and_the_second_interrupts() -> None:
    told = list[str]()
    with told_of_end(lambda: told.append("end")):
        signal.raise_signal(signal.SIGINT)
        assert told == ["end"]
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    assert told == ["end"]
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


@pytest.mark.parametrize("number", ENDS)
def test_an_end_from_outside_is_told_once_as_well(number: int) -> None:
    told = list[str]()
    with ended_in_order(), told_of_end(lambda: told.append("end")):
        signal.raise_signal(number)
        signal.raise_signal(number)
    assert told == ["end"]


def test_a_ctrl_c_that_is_ignored_stays_ignored_and_other_ends_are_told() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    told = list[str]()
    with ended_in_order(), told_of_end(lambda: told.append("end")):
        signal.raise_signal(signal.SIGINT)
        assert told == []
        signal.raise_signal(signal.SIGTERM)
    assert told == ["end"]
    assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN


def test_what_nohup_ignores_stays_ignored() -> None:
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        with ended_in_order():
            signal.raise_signal(signal.SIGHUP)
            assert signal.getsignal(signal.SIGHUP) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGHUP, before)


def test_who_holds_the_terminal_takes_it_again_when_the_program_goes_on() -> None:
    before, done = signal.getsignal(signal.SIGCONT), list[str]()
    one = hold_terminal(lambda: done.append("give 1"), lambda: done.append("take 1"))
    other = hold_terminal(lambda: done.append("give 2"), lambda: done.append("take 2"))
    signal.raise_signal(signal.SIGCONT)
    assert done == ["take 1", "take 2"]
    one()
    signal.raise_signal(signal.SIGCONT)
    assert done == ["take 1", "take 2", "take 2"]
    other()
    signal.raise_signal(signal.SIGCONT)
    assert len(done) == 3
    assert signal.getsignal(signal.SIGCONT) is before


def test_signals_are_the_main_thread_s_business() -> None:
    """Python sets handlers there alone. Source: Python's documentation, module signal."""
    handlers: list[object] = []

    def elsewhere() -> None:
        with ended_in_order():
            hold_terminal(lambda: None, lambda: None)()
            handlers.extend(signal.getsignal(each) for each in (*ENDS, signal.SIGTSTP))

    before = [signal.getsignal(each) for each in (*ENDS, signal.SIGTSTP)]
    thread = threading.Thread(target=elsewhere)
    thread.start()
    thread.join()
    assert handlers == before
