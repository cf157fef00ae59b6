"""When what is said. The expectations are the sentences of the design on what is said back."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.game.kind import Rank
from callout.table.speech.announcer import (
    HOLD_MS,
    QUIET_MS,
    SLACK_MS,
    STALE_MS,
    Announcer,
    Command,
    Hush,
    Speak,
    Utterance,
    be_quiet,
    cut,
    finished,
    go_on,
    hold,
    release,
    say,
    speech_ms,
    wake,
    wake_ms,
    withdraw,
)
from callout.table.speech.pending_notices import Pending


def every(each: Pending) -> bool:
    return True


def none(each: Pending) -> bool:
    return False


def words(
    text: str, rank: Rank = Rank.ECHO, made_ms: int = 0, tone: str = "", **more: Any
) -> Utterance:
    return Utterance(text, rank, made_ms, tone, **more)


def spoken(commands: tuple[Command, ...]) -> list[str]:
    return [
        "(hush)" if isinstance(c, Hush) else c.text or f"({c.tone})"
        for c in commands
        if isinstance(c, Hush | Speak)
    ]


def test_the_first_thing_is_said_at_once_with_its_tone() -> None:
    announcer, commands = say(Announcer(), words("No such player.", tone="no"), 0)
    assert commands == (Speak("No such player.", "no"),)
    assert announcer.last == "No such player."
    assert announcer.until_ms == speech_ms("No such player.") > 0


def test_a_voice_that_tells_is_waited_for_and_one_that_fell_silent_is_not() -> None:
    announcer, _ = say(Announcer(slack_ms=SLACK_MS), words("One."), 0)
    announcer, _ = say(announcer, words("Two."), 0)
    reckoned = speech_ms("One.")
    assert wake(announcer, reckoned)[1] == ()
    assert finished(announcer, reckoned + 300, "Cut before.")[1] == ()
    assert spoken(finished(announcer, reckoned + 300, "One.")[1]) == ["Two."]
    assert spoken(wake(announcer, reckoned + SLACK_MS)[1]) == ["Two."]


def test_nothing_to_say_is_nothing() -> None:
    assert say(Announcer(), words(""), 0) == (Announcer(), ())


@pytest.mark.parametrize("rank", Rank)
@pytest.mark.parametrize("other", Rank)
def test_only_the_more_urgent_interrupts(rank: Rank, other: Rank) -> None:
    first, _ = say(Announcer(), words("First.", rank), 0)
    second, commands = say(first, words("Second.", other, 1), 1)
    if other < rank:
        assert spoken(commands) == ["(hush)", "Second."]
    else:
        assert commands == ()
        assert [waiting.text for waiting in second.queue] == ["Second."]


def test_equal_ones_queue_and_follow_in_order() -> None:
    announcer = Announcer()
    for text in ("One.", "Two.", "Three."):
        announcer, _ = say(announcer, words(text), 0)
    announcer, commands = finished(announcer, 400)
    assert spoken(commands) == ["Two."]
    announcer, commands = wake(announcer, announcer.until_ms)
    assert spoken(commands) == ["Three."]
    assert wake(announcer, announcer.until_ms)[1] == ()


def test_the_urgent_one_in_the_queue_comes_first() -> None:
    announcer, _ = say(Announcer(), words("Now.", Rank.ACT), 0)
    for text, rank in (("Echo.", Rank.ECHO), ("Tell.", Rank.TELL), ("Act.", Rank.ACT)):
        announcer, _ = say(announcer, words(text, rank), 1)
    assert [waiting.text for waiting in announcer.queue] == ["Act.", "Tell.", "Echo."]


def test_a_stale_echo_is_dropped_and_a_stale_notice_is_not() -> None:
    announcer, _ = say(Announcer(), words("Long."), 0)
    announcer, _ = say(announcer, words("Echo.", Rank.ECHO, 0), 0)
    announcer, _ = say(announcer, words("Ask.", Rank.ASK, 0), 0)
    assert spoken(finished(announcer, STALE_MS - 1)[1]) == ["Echo."]
    assert spoken(finished(announcer, STALE_MS)[1]) == ["Ask."]


def test_of_equal_rank_the_one_of_the_earlier_place_comes_first() -> None:
    announcer, _ = say(Announcer(), words("Now.", Rank.ACT), 0)
    for text, place in (("Substitute.", 7), ("Out.", 2), ("Shots.", 4), ("Also out.", 2)):
        announcer, _ = say(announcer, words(text, Rank.ACT, 1, place=place), 1)
    queue = [waiting.text for waiting in announcer.queue]
    assert queue == ["Out.", "Also out.", "Shots.", "Substitute."]


def test_what_lasts_is_said_however_late() -> None:
    announcer, _ = say(Announcer(), words("Long."), 0)
    announcer, _ = say(announcer, words("Board.", lasts=True), 0)
    assert spoken(finished(announcer, 10 * STALE_MS)[1]) == ["Board."]


@pytest.mark.parametrize("busy", [Rank.ASK, Rank.ECHO])
def test_a_question_that_is_settled_is_not_asked_any_more(busy: Rank) -> None:
    announcer, _ = say(Announcer(), words("Fifteen, or fifty?", busy), 0)
    announcer, _ = say(announcer, words("Another home two?", Rank.ASK, 1), 1)
    announcer, commands = withdraw(announcer, 100)
    assert spoken(commands) == (["(hush)"] if busy is Rank.ASK else [])
    assert announcer.queue == ()
    assert finished(announcer, 9_000)[1] == ()


def test_what_was_interrupted_is_said_again_unless_it_was_an_echo() -> None:
    for rank, again in ((Rank.ECHO, []), (Rank.TELL, ["Cut."]), (Rank.ASK, ["Cut."])):
        announcer, _ = say(Announcer(), words("Cut.", rank), 0)
        announcer, _ = say(announcer, words("Act.", Rank.ACT, 1), 1)
        assert spoken(finished(announcer, 500)[1]) == again


AGAIN = [(Rank.ACT, ["Cut."]), (Rank.TELL, ["Cut."]), (Rank.ECHO, []), (Rank.ASK, [])]
"""What is said again: an echo is stale by then, and a question that was talked over was heard."""


@pytest.mark.parametrize(("rank", "again"), AGAIN)
def test_what_was_talked_over_is_said_again(rank: Rank, again: list[str]) -> None:
    announcer, _ = say(Announcer(slack_ms=SLACK_MS), words("Cut.", rank), 0)
    announcer, _ = say(announcer, words("Next.", Rank.ASK, 100), 100)
    assert cut(announcer, 200, "Another.") == (announcer, ())
    announcer, commands = cut(announcer, 200, "Cut.")
    said = spoken(commands) + spoken(finished(announcer, 1_500)[1])
    assert said == [*again, "Next."]


@pytest.mark.parametrize(("rank", "again"), AGAIN)
def test_while_the_scorer_speaks_no_words_are_said(rank: Rank, again: list[str]) -> None:
    announcer, _ = say(Announcer(), words("Cut.", rank), 0)
    announcer, commands = be_quiet(announcer, 100)
    assert spoken(commands) == ["(hush)"]
    announcer, commands = say(announcer, words("Home two.", made_ms=200), 200)
    assert commands == ()
    announcer, commands = say(announcer, words("", tone="horn", made_ms=300), 300)
    assert spoken(commands) == ["(horn)"]
    assert wake(announcer, 400)[1] == finished(announcer, 400)[1] == ()
    announcer, commands = go_on(announcer, 500)
    while announcer.queue:
        announcer, more = finished(announcer, 600)
        commands += more
    assert spoken(commands) == [*again, "Home two."]


def test_what_waited_while_the_scorer_spoke_grows_stale() -> None:
    announcer, _ = be_quiet(Announcer(), 0)
    announcer, _ = say(announcer, words("Home two."), 0)
    announcer, _ = say(announcer, words("Bonus.", Rank.TELL), 0)
    announcer, commands = go_on(announcer, STALE_MS)
    assert spoken(commands) == ["Bonus."]
    assert announcer.queue == ()


def test_the_quiet_ends_by_itself() -> None:
    announcer, _ = be_quiet(Announcer(), 1_000)
    announcer, _ = say(announcer, words("Bonus.", Rank.TELL, 2_000), 2_000)
    assert wake_ms(announcer, which=none) == 1_000 + QUIET_MS
    assert wake(announcer, 999 + QUIET_MS)[1] == ()
    assert spoken(wake(announcer, 1_000 + QUIET_MS)[1]) == ["Bonus."]


def test_at_a_stop_a_tone_first_and_the_words_after_three_seconds() -> None:
    announcer, commands = hold(Announcer(), words("Time-out, home.", Rank.ACT), 0, HOLD_MS)
    assert spoken(commands) == ["(attention)"]
    assert wake_ms(announcer, which=none) == HOLD_MS == 3_000
    assert wake(announcer, HOLD_MS - 1)[1] == ()
    announcer, commands = wake(announcer, HOLD_MS)
    assert spoken(commands) == ["Time-out, home."]
    assert wake_ms(announcer, which=none) is None


def test_held_words_go_as_soon_as_they_are_released() -> None:
    announcer, _ = hold(Announcer(), words("Time-out, home.", Rank.ACT), 0, HOLD_MS)
    announcer, _ = hold(announcer, words("Substitute, guest.", Rank.ACT), 100, HOLD_MS)
    announcer, commands = release(announcer, 900)
    assert spoken(commands) == ["Time-out, home."]
    assert [waiting.text for waiting in announcer.queue] == ["Substitute, guest."]
    assert announcer.held == ()


STEPS = st.lists(
    st.tuples(st.sampled_from(Rank), st.integers(0, 3_000), st.booleans()), max_size=25
)


@given(STEPS)
def test_everything_but_echoes_is_said_to_its_end_once(
    steps: list[tuple[Rank, int, bool]],
) -> None:
    """Against a plain record of what the voice did: the interrupted part does not count."""
    announcer, now, heard = Announcer(), 0, list[str]()

    def play(commands: tuple[Command, ...]) -> None:
        for command in commands:
            if isinstance(command, Hush):
                heard.pop()
            elif isinstance(command, Speak) and command.text:
                heard.append(command.text)

    made: list[str] = []
    for number, (rank, wait, at_stop) in enumerate(steps):
        now += wait
        announcer, commands = wake(announcer, now)
        play(commands)
        text = f"{rank.name} {number}"
        made += [text] if rank is not Rank.ECHO else []
        if at_stop and rank < Rank.ECHO:
            announcer, commands = hold(announcer, words(text, rank, now), now, now + HOLD_MS)
        else:
            announcer, commands = say(announcer, words(text, rank, now), now)
        play(commands)
    while (moment := wake_ms(announcer, which=none)) is not None:
        announcer, commands = wake(announcer, max(now, moment))
        now = max(now, moment)
        play(commands)
    assert sorted(text for text in heard if "ECHO" not in text) == sorted(made)
    assert len(heard) == len(set(heard))
