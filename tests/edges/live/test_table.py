"""The table's loop: its queue, clock, voice and the ear's process are fed by hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from callout.edges.ear.messages import (
    Gate,
    Listening,
    Load,
    Mode,
    OtherWords,
    Press,
    Problem,
    Ready,
    Release,
    Use,
)
from callout.edges.live.inbox import InputEnded
from callout.edges.live.voice import Outlets
from callout.edges.restarts import MANY
from callout.errors import CalloutError
from callout.game import calls
from callout.game.decide import RULES, Decision
from callout.game.state import At, Game
from callout.game.terms import Team
from callout.table.hands.devices import Edge
from callout.table.setup.setup import Setup, read_setup
from callout.table.speech.announcer import QUIET_MS
from tests.edges.table_by_hand import ByHand, utterance

SETUP = """
profile: youth-6-minute
home: Harbour Kites | 4 5 12
guest: Quarry Foxes | 8 11 15
"""

ALERT = "Home, six fouls. Guest shoots one and one on the next."
"""What youth-6-minute brings at the sixth foul."""

Make = Callable[..., ByHand]


@pytest.fixture
def setup(tmp_path: Path) -> Setup:
    """Two teams."""
    path = tmp_path / "game.setup"
    path.write_text(SETUP, encoding="utf-8")
    return read_setup(path)


@pytest.fixture
def new(tmp_path: Path, setup: Setup, monkeypatch: pytest.MonkeyPatch) -> Iterator[Make]:
    """Makes the game's table, and ends it; nobody's own threshold is read."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "none"))
    made: list[ByHand] = []

    def make(mode: Mode | None = None, teams: Setup = setup, **how: Any) -> ByHand:
        made.append(ByHand.new(tmp_path, teams, mode, **how))
        return made[-1]

    yield make
    for each in made:
        each.close()


def printed(capsys: pytest.CaptureFixture[str]) -> str:
    """What was said in print since it was last asked."""
    return capsys.readouterr().err


def said_until(text: str, game: ByHand, capsys: pytest.CaptureFixture[str]) -> str:
    """What was said up to that text. What the ear's own thread puts comes when it comes, and what
    sounds is put on the queue between."""
    said = printed(capsys)
    while text not in said:
        game.take(1)
        said += printed(capsys)
    return said


def test_what_the_ear_hears_is_booked_with_its_moment_and_answered(
    new: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    game = new(Mode.OPEN)
    game.say("start clock")
    game.wait(10)
    game.tell(utterance("home two number five", age_s=2.0))
    assert game.booked == [calls.StartClock(), calls.Score(Team.HOME, 2, "5")]
    assert {entry.source for entry in game.journal.entries()} == {"voice"}
    # The words took 1.2 s and ended 2 s ago; ten seconds had passed since the clock was started,
    # which began 1 s before it was heard.
    start, basket = (entry.at.wall_ms for entry in game.journal.entries())
    assert basket - start == 10_000 - 3_200 + 1_000
    assert "  > Home two, number five. Two, nothing." in printed(capsys)


@pytest.fixture
def decided(monkeypatch: pytest.MonkeyPatch) -> list[calls.Call]:
    """Every basket that is decided."""
    made: list[calls.Call] = []
    rule = RULES[calls.Score]

    def counted(game: Game, call: calls.Score, at: At) -> Decision:
        made.append(call)
        return rule(game, call, at)

    monkeypatch.setitem(RULES, calls.Score, counted)
    return made


def test_a_spoken_call_is_decided_once(new: Make, decided: list[calls.Call]) -> None:
    # It is weighed, may be asked about, and is booked: all by one decision.
    game = new(Mode.OPEN)
    game.say("start clock")
    game.wait(10)
    game.say("home two number five")
    assert game.booked[-1] == calls.Score(Team.HOME, 2, "5")
    assert decided == [calls.Score(Team.HOME, 2, "5")]


def test_a_call_by_key_is_decided_once(new: Make, decided: list[calls.Call]) -> None:
    game = new()
    for nth, key in enumerate(("tab", "f", "5", "s")):
        for down in (True, False):
            edge = Edge("keys", key, down, (2 * nth + (not down)) * 10**8)
            game.table.put(edge)
            game.go_on()
    assert game.booked == [calls.StartClock(), calls.Score(Team.HOME, 2, "5")]
    assert decided == [calls.Score(Team.HOME, 2, "5")]


@pytest.mark.thorough
def test_a_call_that_the_talk_has_changed_is_decided_again(
    new: Make, decided: list[calls.Call]
) -> None:
    game = new(Mode.OPEN)
    game.say("start clock")
    game.wait(10)
    told = utterance("home two number five")
    (call,) = told.calls
    twelve = OtherWords(("home", "two", "number", "twelve"), 0.5)
    game.tell(replace(told, calls=(replace(call, others=(twelve,)),)))
    # Both readings are weighed; the basket is booked without a number until that is known.
    bare = calls.Score(Team.HOME, 2)
    assert game.booked[-1] == bare
    assert decided == [replace(bare, number=number) for number in ("5", "12", None)]


@pytest.mark.thorough
def test_an_open_ear_is_closed_while_the_table_speaks(new: Make) -> None:
    game = new(Mode.OPEN, slow=True)
    child = game.next_child()
    assert game.voice is not None
    game.say("start clock")
    assert Gate(True) not in child.done, "it has not begun to speak"
    game.voice.begin()
    game.go_on()
    assert child.done[-1] == Gate(True)
    game.voice.end()
    game.go_on()
    assert child.done[-1] == Gate(False)


@pytest.mark.thorough
def test_a_held_ear_is_open_while_the_key_is_down(new: Make) -> None:
    game = new(Mode.HOLD)
    child = game.next_child()
    game.type("")
    game.type("")
    assert child.done[-2:] == [Press(), Release()]
    game.say("start clock")
    assert game.booked == [calls.StartClock()]
    assert Gate(True) not in child.done


@pytest.mark.thorough
def test_what_a_held_ear_does_not_understand_is_asked_for_again(
    new: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    game = new(Mode.HOLD)
    game.tell(utterance(""))
    assert "  > Say again?" in printed(capsys)
    assert game.booked == []


@pytest.mark.thorough
def test_an_open_ear_is_silent_about_other_people_s_talk(
    new: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    game = new(Mode.OPEN)
    game.tell(utterance(""))
    assert "  > " not in printed(capsys)


@pytest.mark.thorough
def test_a_call_said_again_within_seconds_is_asked_about(
    new: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    game = new(Mode.OPEN)
    game.say("start clock")
    nearly = utterance("home three", margin=-4.0)
    game.tell(nearly)
    assert "three" not in printed(capsys)
    game.wait(2.5)
    game.tell(nearly)
    assert game.booked == [calls.StartClock()]
    assert "Home three?" in printed(capsys)
    game.say("home three")
    assert game.booked[-1] == calls.Score(Team.HOME, 3)


@pytest.mark.thorough
def test_a_tapped_ear_is_armed_by_each_press(new: Make) -> None:
    game = new(Mode.TAP)
    child = game.next_child()
    game.type("", "")
    assert child.done[-2:] == [Press(), Press()]
    game.say("start clock")
    assert game.booked == [calls.StartClock()]


@pytest.mark.thorough
def test_answers_are_heard_while_a_question_is_open(new: Make) -> None:
    game = new(Mode.OPEN)
    child = game.next_child()
    game.say("start clock")
    game.say("end period")
    assert Use("question") in child.done
    game.say("no")
    used = [each for each in child.done if isinstance(each, Use)]
    assert used == [Use("always"), Use("question"), Use("always")]
    assert game.booked == [calls.StartClock()]


@pytest.mark.thorough
def test_a_game_goes_on_without_its_ear_and_says_that_it_is_back(
    new: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    game = new(Mode.HOLD)
    child = game.next_child()
    child.tell(Ready())
    game.take(1)
    child.end(-9)
    said = said_until("  > The ear is gone. Wait.", game, capsys)
    game.type("start clock")
    game.next_child().tell(Ready())
    said += said_until("  > The ear is back.", game, capsys)
    game.wait(60)
    said += printed(capsys)
    assert "ear: died: it died (status -9)" in said
    assert said.index("  > The ear is gone. Wait.") < said.index("  > The ear is back.")
    assert game.booked == [calls.StartClock()]


@pytest.mark.thorough
def test_a_key_to_talk_keeps_the_table_quiet_until_something_is_heard(
    new: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    game = new(Mode.HOLD)
    game.type("", "start clock")
    assert "  > " not in printed(capsys)
    game.tell(utterance(""))
    assert "  > First quarter" in printed(capsys)


@pytest.mark.thorough
def test_the_quiet_of_a_key_has_an_end(new: Make, capsys: pytest.CaptureFixture[str]) -> None:
    game = new(Mode.HOLD)
    game.type("", "start clock")
    game.wait(QUIET_MS / 1000 - 0.1)
    game.type("home two")
    assert "  > " not in printed(capsys)
    game.wait(0.2)
    game.type("guest three")
    assert "  > Guest three" in printed(capsys)


@pytest.mark.thorough
def test_a_key_to_talk_to_an_ear_that_keeps_dying_does_not_silence_the_table(
    new: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    game = new(Mode.HOLD)
    for _ in range(MANY):
        game.next_child().end(1)
    said_until("ear: gone", game, capsys)
    game.type("", "start clock")
    assert "  > First quarter" in printed(capsys)


@pytest.mark.thorough
def test_a_key_to_talk_does_not_silence_the_table_without_a_microphone(
    new: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    game = new(Mode.HOLD)
    game.tell(Problem("nowhere: cannot be opened", "DeviceError"))
    assert "ear: nowhere: cannot be opened" in printed(capsys)
    game.type("", "start clock")
    assert "  > First quarter" in printed(capsys)


@pytest.mark.thorough
def test_a_microphone_that_gives_nothing_ends_the_quiet_of_a_key(
    new: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    game = new(Mode.HOLD)
    game.type("", "start clock")
    assert "  > " not in printed(capsys)
    game.tell(Problem("headset: gives no sound", "DeviceError", "frozen"))
    assert "  > No sound from the microphone" in printed(capsys)
    game.wait(60)
    printed(capsys)
    game.type("", "", "home two")
    assert "  > Home two" in printed(capsys)


def test_a_game_without_a_microphone_ends_with_its_input(new: Make) -> None:
    game = new(Mode.OPEN)
    game.table.put(InputEnded())
    game.go_on()
    assert game.table.running, "the microphone may still be found"
    game.tell(Problem("nowhere: cannot be opened", "DeviceError", "absent"))
    assert not game.table.running


@pytest.mark.thorough
def test_a_game_whose_microphone_went_away_waits_for_it(new: Make) -> None:
    game = new(Mode.OPEN)
    game.tell(Listening("headset", 48_000))
    game.tell(Problem("headset: gone", "DeviceError", "absent"))
    game.table.put(InputEnded())
    game.go_on()
    assert game.table.running


def test_a_game_without_an_ear_ends_with_its_input(new: Make) -> None:
    game = new()
    assert game.table.running
    game.table.put(InputEnded())
    game.go_on()
    assert not game.table.running


def test_an_ear_without_a_model_ends_the_game(new: Make) -> None:
    with pytest.raises(CalloutError, match="damaged"):
        new(Mode.OPEN).tell(Problem("damaged", "ModelError"))


@pytest.mark.thorough
def test_a_nickname_that_the_ear_lacks_is_left_out_of_what_it_hears(
    new: Make, setup: Setup
) -> None:
    teams = replace(setup, guest=replace(setup.guest, words=("foxez", "foxes")))
    game = new(Mode.OPEN, teams, lacking=frozenset({"foxez"}))
    load = game.next_child().done[1]
    assert isinstance(load, Load)
    heard_by = Path(load.networks).read_text(encoding="utf-8")
    assert '"foxes"' in heard_by
    assert '"foxez"' not in heard_by
    game.say("start clock")
    game.say("foxes two")
    game.type("foxez three")
    assert game.booked[1:] == [calls.Score(Team.GUEST, 2), calls.Score(Team.GUEST, 3)]


@pytest.mark.thorough
def test_what_is_talked_over_is_said_again(new: Make) -> None:
    game = new(Mode.OPEN, slow=True, outlets=Outlets(voice="auto", ears="both", talk_over=True))
    voice = game.voice
    assert voice is not None
    game.type("start clock")
    for words in ("four", "four", "four", "five", "five", "twelve"):
        game.type(f"home foul number {words}")
    for _ in range(20):
        game.go_on()
        if voice.begin() == ALERT:
            break
        voice.end()
    game.go_on()
    game.say("guest two number eight")
    assert voice.log[-1] == ("stopped", ALERT)
    for _ in range(20):
        if not voice.asked:
            break
        voice.begin()
        game.go_on()
        voice.end()
        game.go_on()
    of_alert = [what for what, text in voice.log if text == ALERT]
    assert of_alert == ["started", "stopped", "started", "finished"]
    assert any("Guest two, number eight" in text for what, text in voice.log if what == "finished")


def choices_heard(game: ByHand, count: int) -> list[str]:
    """The next texts that the voice says, each to its end, with the pauses between them."""
    voice, heard = game.voice, list[str]()
    assert voice is not None
    for _ in range(200):
        if len(heard) == count:
            break
        if voice.asked:
            heard.append(voice.begin())
            game.wait(0.4)
            voice.end()
        game.wait(0.1)
    return heard


def test_one_switch_begins_its_reading_again_after_an_urgent_notice(new: Make) -> None:
    game = new(slow=True)
    voice = game.voice
    assert voice is not None
    game.type("start clock", "home timeout waiting")
    choices_heard(game, 2)
    game.table.put(Edge("keys", "pagedown", True, 10**9))
    game.go_on()
    assert choices_heard(game, 3) == ["stop clock", "home", "guest"]
    game.wait(1.0)
    assert voice.begin() == "ball"
    game.wait(0.2)
    game.type("stop clock", "guest foul")
    assert voice.log[-1] == ("stopped", "ball")
    # The choice that was cut off is not read on its own, and the clock can be started now.
    assert choices_heard(game, 4) == [
        "Home wants a time-out. Horn.",
        "Guest foul. Team one.",
        "start clock",
        "home",
    ]


def test_one_switch_waits_for_its_turn_behind_an_echo(new: Make) -> None:
    game = new(slow=True)
    game.type("start clock")
    game.table.put(Edge("keys", "pagedown", True, 10**9))
    game.go_on()
    heard = choices_heard(game, 4)
    assert heard == ["First quarter. Jump ball. Running.", "stop clock", "home", "guest"]
