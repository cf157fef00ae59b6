"""Before the first period: the order of the checklist, its deadlines, the warnings by the clock.

Sources beside the checks; the checklist itself is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game import calls
from callout.game.calls import AddPlayer, BeforeDue, Call, CheckDone, CheckSkip, Starter, TipIn
from callout.game.due import due
from callout.game.figures import checklist
from callout.game.notices import kinds
from callout.game.notices import pregame_kinds as rows
from callout.game.notices.kinds import Notice
from callout.game.notices.pregame import deadline, item_told, league_figures, list_notices
from callout.game.profile.before import Look
from callout.game.profile.file import load_profile, profile_names
from callout.game.terms import Award, CheckedAs, Team
from callout.table.speech.pending_notices import done
from tests.game.play import FOXES, GUEST, HOME, KITES, Play

FIVE = ("4", "5", "7", "10", "11")


def game(league: str, home: tuple[str, ...] = KITES, guest: tuple[str, ...] = FOXES) -> Play:
    return Play(load_profile(league), home=home, guest=guest)


def announced(play: Play, seconds: float) -> list[tuple[str, str]]:
    """What falls due within that time: minutes and seconds before the start, and what is said."""
    end, found = play.now_ms + round(1000 * seconds), list[tuple[str, str]]()
    while (first := next(iter(due(play.game)), None)) and first.wall_ms <= end:
        play.now_ms = first.wall_ms
        play.take(first.call)
        left_s = ((play.game.tip_ms or 0) - play.now_ms) // 1000
        found += [(f"{left_s // 60}:{left_s % 60:02}", str(each.kind)) for each in play.notices]
    play.now_ms = end
    return found


def starters(team: Team, numbers: tuple[str, ...]) -> list[Call]:
    return [Starter(team, number) for number in numbers]


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(90, {"seconds": 90}), (7_140, {"minutes": 119}), (7_200, {"hours": 2}),
     (30_480, {"hours": 8, "minutes": 28})],
)  # fmt: skip
def test_the_time_to_the_tip_is_told_in_seconds_minutes_or_hours(
    seconds: int, told: dict[str, int]
) -> None:
    play = game("fiba-2024")
    (notice,) = play.take(calls.SetTip(play.now_ms + 1_000 * seconds)).notices
    none = {"hours": None, "minutes": None, "seconds": None}
    assert notice == Notice(rows.TIP_SET, {**none, **told})


# --- warnings -------------------------------------------------------------------------------------


def test_fiba_warns_the_referees_twice_and_the_horn_ends_the_interval() -> None:
    # FIBA 49.3: the referees are notified 3:00 and 1:30 before the first quarter; no horn at 0:30.
    play = game("fiba-2024").take(TipIn(9))
    play.take(*starters(HOME, FIVE), *starters(GUEST, FOXES[:5]))
    assert announced(play, 540) == [
        ("3:00", "interval_notice"), ("1:30", "interval_notice"), ("0:00", "interval_end"),
    ]  # fmt: skip


def test_high_school_warns_the_referees_and_sounds_the_horn() -> None:
    # NFHS 2-12: the signal three minutes before, the horn at 15 seconds and at the end.
    play = game("nfhs-2026").take(TipIn(9))
    play.take(*starters(HOME, FIVE), *starters(GUEST, FOXES[:5]))
    assert announced(play, 540) == [
        ("3:00", "interval_notice"), ("0:15", "interval_warning"), ("0:00", "interval_end"),
    ]  # fmt: skip


def test_a_warning_says_how_long_it_is_and_rests_on_its_article() -> None:
    play = game("fiba-2024").take(TipIn(4)).wait(60)
    (first,) = play.take(due(play.game)[0].call).notices
    assert (first.slots["minutes"], first.slots["nth"], first.slots["unit"]) == (3, 1, "quarter")
    assert first.rule == "FIBA 49.3"
    (second,) = play.wait(90).take(due(play.game)[0].call).notices
    assert (second.slots["minutes"], second.slots["seconds"]) == (None, 90)


def test_what_is_past_when_the_start_becomes_known_is_not_announced() -> None:
    play = game("fiba-2024").take(TipIn(2))
    assert [kind for _, kind in announced(play, 120)] == ["interval_notice", "interval_end"]


def test_a_later_start_is_announced_anew() -> None:
    play = game("fiba-2024").take(TipIn(4))
    assert ("3:00", "interval_notice") in announced(play, 61)
    play.take(TipIn(4))
    assert ("3:00", "interval_notice") in announced(play, 61)


def test_nothing_falls_due_before_the_start_is_known_or_once_the_game_has_begun() -> None:
    play = game("nfhs-2026")
    assert due(play.game) == ()
    play.take(TipIn(20), calls.StartClock())
    assert not any(isinstance(each.call, BeforeDue) for each in due(play.game))


# --- deadlines ------------------------------------------------------------------------------------


def test_fiba_lists_are_due_forty_minutes_before_and_starters_ten() -> None:
    # FIBA 7.1 and 7.2; two minutes ahead is common practice, no source.
    play = game("fiba-2024", guest=()).take(TipIn(45))
    told = announced(play, 45 * 60)
    assert [each for each in told if "interval" not in each[1]] == [
        ("42:00", "lists_soon"), ("40:00", "item_due"), ("40:00", "lists_due"),
        ("12:00", "starters_soon"), ("10:00", "starters_due"),
    ]  # fmt: skip


def test_high_school_lists_and_starters_are_due_ten_minutes_before() -> None:
    # NFHS 3-2: names, numbers and starters ten minutes before.
    play = game("nfhs-2026", home=()).take(TipIn(20))
    told = announced(play, 11 * 60)
    assert sorted(each for each in told if each[1] != "item_due") == [
        ("10:00", "lists_due"), ("10:00", "starters_due"),
        ("12:00", "lists_soon"), ("12:00", "starters_soon"),
    ]  # fmt: skip


def test_a_deadline_names_the_teams_that_lack_something_and_the_minutes() -> None:
    play = game("nfhs-2026", guest=()).take(TipIn(12), *starters(HOME, FIVE))
    said: dict[str, Notice] = {}
    for each in due(play.game):
        if each.wall_ms == play.now_ms:
            said |= {str(n.kind): n for n in play.take(each.call).notices}
    assert said["lists_soon"].slots == {"teams": (GUEST,), "minutes": 2}
    assert said["starters_soon"].slots == {"teams": (GUEST,), "minutes": 2}
    assert said["lists_soon"].rule == "NFHS 3-2"


def test_a_deadline_that_was_met_is_not_announced() -> None:
    play = game("nfhs-2026").take(TipIn(20))
    play.take(*starters(HOME, FIVE), *starters(GUEST, FOXES[:5]))
    assert [kind for _, kind in announced(play, 11 * 60)] == ["item_due"]  # The crew's own.


def test_a_deadline_is_done_when_the_list_is_there_or_a_person_says_so() -> None:
    play = game("fiba-2024", guest=()).take(TipIn(42))
    play.take(*[each.call for each in due(play.game) if each.wall_ms == play.now_ms])
    (notice,) = play.notices
    assert notice.kind is rows.LISTS_SOON
    entry = play.game.entry
    (late,) = (each for each in announced(play, 2 * 60) if each[1] == "lists_due")
    assert late[0] == "40:00"
    due_now = Notice(rows.LISTS_DUE, {"teams": (GUEST,)})
    assert not done(due_now, entry, play.game)
    play = game("fiba-2024", guest=()).take(TipIn(42))
    assert not done(notice, entry, play.game)
    assert not done(due_now, entry, play.game)
    play.take(AddPlayer(GUEST, "8"))
    assert done(notice, entry, play.game)
    assert done(due_now, entry, play.game)
    other = game("fiba-2024", guest=()).take(TipIn(42))
    while checklist.current(other.game) != "lists":
        other.take(CheckDone())
    assert not done(notice, entry, other.game)
    assert done(notice, entry, other.take(CheckDone()).game)


def test_starters_that_were_due_are_asked_for_until_both_fives_are_named() -> None:
    play = game("nfhs-2026").take(TipIn(9), *starters(HOME, FIVE))
    due_now, entry = Notice(rows.STARTERS_DUE, {"teams": (GUEST,)}), play.game.entry
    assert not done(due_now, entry, play.game)
    assert done(due_now, entry, play.take(*starters(GUEST, FOXES[:5])).game)


def test_the_crew_comes_ten_minutes_before_or_when_the_first_list_is_due() -> None:
    # Common practice, no source: ten minutes in youth games; FIBA 7.1: lists at 40 minutes.
    for league, minutes in (("youth-6-minute", 10), ("fiba-2024", 40), ("ncaa-men-2026", 15)):
        assert checklist.due_s(load_profile(league), "arrive") == 60 * minutes


def test_what_is_late_is_known_whenever_it_is_asked() -> None:
    play = game("fiba-2024", guest=()).take(TipIn(45))
    assert checklist.late(play.game, play.now_ms) == ()
    assert checklist.late(play.game, play.now_ms + 300_000) == ("arrive", "lists")
    assert deadline(play.game, "lists", None).slots == {"teams": (GUEST,)}


# --- the checklist --------------------------------------------------------------------------------


@pytest.mark.parametrize("league", profile_names())
def test_every_league_asks_its_items_in_its_order_once_each(league: str) -> None:
    play, asked = game(league), []
    while (item := checklist.current(play.game)) is not None:
        asked.append(item)
        play.take(CheckDone())
    assert tuple(asked) == play.game.profile.before.order
    assert checklist.left(play.game) == ()
    assert play.refusal(CheckDone()) == "all_checked"


def test_what_was_left_open_comes_again_after_the_rest_the_oldest_first() -> None:
    play = game("nfhs-2026")
    order = play.game.profile.before.order
    play.take(CheckSkip(), CheckSkip(), *[CheckDone()] * (len(order) - 2))
    assert checklist.left(play.game) == order[:2]
    assert checklist.current(play.game) == order[0]
    assert checklist.current(play.take(CheckSkip()).game) == order[1]
    assert checklist.current(play.take(CheckDone()).game) == order[0]


def test_an_undo_brings_an_item_back_but_never_once_the_game_has_begun() -> None:
    play = game("nfhs-2026").take(CheckDone(), CheckDone())
    second = play.game.checks[-1].item
    assert checklist.current(play.take(calls.Undo()).game) == second
    play.take(calls.StartClock()).wait(120).take(calls.StopClock())
    first = play.game.checks[0]
    assert play.refusal(calls.Undo()) == "nothing_to_undo"
    assert first in play.game.checks


def test_the_time_and_the_item_are_in_the_entry() -> None:
    play = game("nfhs-2026").take(CheckDone()).wait(7).take(CheckSkip())
    kept = [(each.item, each.how, each.wall_ms) for each in play.game.checks]
    order = play.game.profile.before.order
    assert kept == [
        (order[0], CheckedAs.DONE, 1_000_000),
        (order[1], CheckedAs.SKIPPED, 1_007_000),
    ]


def test_the_program_sees_lists_numbers_and_starters_by_itself() -> None:
    whole, lacks = game("fiba-2024").game, game("fiba-2024", guest=()).game
    assert checklist.is_seen(whole, "lists")
    assert checklist.is_seen(whole, "numbers")
    assert not checklist.is_seen(lacks, "lists")
    assert not checklist.is_seen(lacks, "numbers")
    assert not checklist.is_seen(whole, "starters")
    play = game("fiba-2024").take(*starters(HOME, FIVE), *starters(GUEST, FOXES[:5]))
    play.take(calls.ConfirmStarters(HOME))
    assert not checklist.is_seen(play.game, "starters")
    assert checklist.is_seen(play.take(calls.ConfirmStarters(GUEST)).game, "starters")


def test_only_lists_and_starters_lack_something_team_by_team() -> None:
    bare = game("fiba-2024", guest=()).game
    assert checklist.lacking(bare, "lists") == (GUEST,)
    assert checklist.lacking(bare, "starters") == (HOME, GUEST)
    assert checklist.lacking(bare, "board") == ()


def test_starters_that_change_must_be_read_back_again() -> None:
    play = game("fiba-2024").take(*starters(HOME, FIVE), calls.ConfirmStarters(HOME))
    assert HOME in play.game.starters_read
    play.take(calls.DropStarter(HOME, "4"))
    assert play.game.side(HOME).starters == FIVE[1:]
    assert HOME not in play.game.starters_read


def test_numbers_that_are_not_legal_and_lists_that_are_too_long_are_named() -> None:
    # NFHS 3-4, as quoted by officials: no digit above 5. FIBA 4.2, from memory: twelve players.
    (illegal,) = list_notices(game("nfhs-2026", home=("4", "17"), guest=("3",)).game)
    assert illegal.kind is kinds.NUMBER_ILLEGAL
    assert illegal.slots == {"team": HOME, "number": "17"}
    read = item_told(game("nfhs-2026", home=("4", "17"), guest=("3",)).game, "numbers", 0)
    assert illegal in list(read)
    many = tuple(map(str, range(4, 17)))
    (too_long,) = list_notices(game("fiba-2024", guest=many).game)
    assert too_long.slots == {"team": GUEST, "count": 13, "most": 12}
    assert list(list_notices(game("fiba-2024", guest=many[:12]).game)) == []


def test_an_item_of_a_league_is_said_in_its_own_words_and_with_its_time() -> None:
    profile = load_profile("nfhs-2026")
    own = type(profile.before.items["board"])(by_s=300, words="Hang the banner.")
    before = replace(profile.before, order=("banner",), items={"banner": own})
    play = Play(replace(profile, before=before)).take(TipIn(12))
    assert checklist.due_s(play.game.profile, "banner") == 300
    (told,) = item_told(play.game, "banner", play.now_ms)
    assert told.slots == {"item": None, "words": "Hang the banner.", "minutes": 7}
    assert ("5:00", "item_due") in announced(play, 12 * 60)


# --- main figures ---------------------------------------------------------------------------------


def test_high_school_main_figures() -> None:
    # NFHS 5-5: four eight-minute quarters; 2-11-5: five fouls; 4-8-1: two throws from the fifth of
    # a quarter; 5-11: three of 60 and two of 30 seconds, one more each overtime.
    said = [(str(n.kind), n.slots) for n in league_figures(load_profile("nfhs-2026"))]
    assert said[0][1] == {"count": 4, "unit": "quarter", "minutes": 8, "left_tenths": None}
    assert said[1] == ("figures_out", {"fouls": 5})
    assert said[2][1] == {"at": 5, "span": None, "unit": "quarter", "award": Award.TWO}
    assert [(s["count"], s["kind"]) for k, s in said if k == "figures_timeouts"] == [
        (3, "full"), (2, "thirty"), (1, "full"),
    ]  # fmt: skip


def test_youth_main_figures_have_both_steps_of_the_bonus() -> None:
    # Common practice, no source: six minutes, one and one from the seventh of a half, two from 10.
    said = list(league_figures(load_profile("youth-6-minute")))
    assert said[0].slots["minutes"] == 6
    steps = [(n.slots["at"], n.slots["award"]) for n in said if n.kind is rows.FIGURES_PENALTY]
    assert steps == [(7, Award.ONE_AND_ONE), (10, Award.TWO)]


def test_3x3_main_figures_say_from_when_the_ball_comes_with_the_throws() -> None:
    # The 3x3 rules table: two throws from the seventh team foul, and the ball from the tenth.
    said = list(league_figures(load_profile("fiba-3x3")))
    steps = [(n.kind, n.slots["at"]) for n in said if "award" in n.slots]
    assert steps == [(rows.FIGURES_PENALTY, 7), (rows.FIGURES_PENALTY_BALL, 10)]


@pytest.mark.parametrize("league", profile_names())
def test_every_league_has_main_figures(league: str) -> None:
    said = [n.kind for n in league_figures(load_profile(league))]
    assert said[0] in (rows.FIGURES_PERIODS, rows.FIGURES_PERIOD)
    assert rows.FIGURES_TIMEOUTS in said


def test_each_look_of_the_program_is_on_some_list() -> None:
    found = {
        item.look for name in profile_names() for item in load_profile(name).before.items.values()
    }
    assert found == set(Look)
