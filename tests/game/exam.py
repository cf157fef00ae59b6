"""An examination of one league's rules: fixed calls, and all that comes of them, written down.

Every part is a walk through a game that brings one sort of rule to bear. What a part writes is
compared as a digest, kept for each league in `golden.json`; `python -m tests.game.exam` writes
those anew, and `python -m tests.game.exam LEAGUE PART` prints what a part writes.
"""

from __future__ import annotations

import dataclasses
import hashlib
import json
import sys
from collections.abc import Callable, Iterator
from itertools import product
from pathlib import Path

from callout.game import calls
from callout.game.calls import Call, Foul, Score, SetScore, Shot, Timeout
from callout.game.decide import Decisions, Refusal
from callout.game.due import due
from callout.game.figures.forfeits import official_score
from callout.game.figures.fouls import (
    coach_is_out,
    is_out,
    penalty,
    player_fouls,
    team_fouls,
    team_fouls_in,
)
from callout.game.figures.score import both_scores
from callout.game.figures.timeouts import timeouts_left
from callout.game.notices.answers import answers
from callout.game.profile.file import load_profile, profile_names
from callout.game.profile.profile import Profile
from callout.game.state import Forfeited, Owner
from callout.game.terms import Award, FoulKind, Offender, Team, Topic
from callout.table.talk.follow_ups import follow_up
from callout.table.talk.questions import Heard
from tests.game.play import FOXES, GUEST, HOME, KITES, Play

GOLDEN = Path(__file__).with_name("golden.json")
Part = Callable[[Profile], Iterator[str]]


def note(play: Play, *taken: Call) -> Iterator[str]:
    """Take calls one second apart, and write what came of each."""
    for call in taken:
        decision = play.wait(1).call(call)
        if isinstance(decision, Refusal):
            yield f"{call}: refused {decision.kind} {decision.rule}"
            continue
        said = [f"{n.kind} {sorted(n.slots.items())} {n.rule}" for n in play.notices]
        yield f"{call}: {said}"
    game, left = play.game, play.at().left_tenths
    yield f"{both_scores(game)} {game.phase} {game.period} {game.arrow} {left}"
    for team in Team:
        fouls = team_fouls(game, team), penalty(game, team, None, left)
        counted = [team_fouls_in(game, team, period) for period in range(1, game.period + 2)]
        yield f"{team} {counted}"
        yield f"{team} {fouls} {timeouts_left(game, team, left)} {coach_is_out(game, team)}"


def at_left(profile: Profile, period: int, left_s: float, owner: Owner = Owner.OURS) -> Play:
    """A game whose clock runs in that period, with so many seconds left."""
    return Play(profile, owner).start().take(calls.Tip(HOME)).to_left(period, left_s)


def reminders(play: Play) -> str:
    """What falls due, in seconds from now."""
    return str([(each.wall_ms - play.now_ms, each.call) for each in due(play.game)])


def all_periods(profile: Profile) -> range:
    """Every regular period and two overtimes."""
    return range(1, profile.periods.count + 3)


# --- the parts --------------------------------------------------------------------------------


def periods(profile: Profile) -> Iterator[str]:
    """How long periods and intervals are, and how each begins."""
    for first in (HOME, GUEST):
        play = Play(profile)
        for _ in all_periods(profile):
            yield from note(play, calls.StartClock(), calls.Tip(first))
            yield reminders(play)
            yield from note(play, calls.HeldBall(), calls.StopClock(), calls.EndPeriod())
            yield reminders(play)
            for each in due(play.game):
                yield from note(play, each.call, calls.SubWaiting(HOME))


def opening(profile: Profile) -> Iterator[str]:
    """Fouls before a period and right after a toss: who has the ball, and the arrow."""
    for kind in profile.fouls.kinds:
        play = Play(profile)
        yield from note(play, Foul(GUEST, "14", kind), Shot(True, HOME, "4"), calls.StartClock())
        yield from note(play, calls.EndPeriod(), Foul(HOME, "5", kind), calls.StartClock())
    play = Play(profile).start()
    yield from note(play, Foul(GUEST, "14", award=Award.ONE), calls.StopClock(), Shot(True, HOME))


def common_fouls(profile: Profile) -> Iterator[str]:
    """Team fouls to the last step of the penalty, early, late, across periods, and in overtime."""
    for period in all_periods(profile):
        for left in (250, 100):
            play = at_left(profile, period, left)
            for number in (*FOXES, *FOXES):
                yield from note(play, Foul(GUEST, number))
            yield from note(play, Foul(GUEST, "3", FoulKind.OFFENSIVE))
            yield from note(play, Shot(False), Shot(False), calls.EndPeriod())
            yield from note(play, Foul(GUEST), calls.StartClock(), Foul(HOME), Foul(GUEST))


def kinds_of_fouls(profile: Profile) -> Iterator[str]:
    """Each kind of foul on each offender, again and again, and with each other kind."""
    for kind in FoulKind:
        for on in Offender:
            play = at_left(profile, 1, 300)
            for _ in range(4):
                yield from note(play, Foul(GUEST, "14", kind, on), Shot(True), Shot(False))
                out = player_fouls(play.game, GUEST, "14"), is_out(play.game, GUEST, "14")
                yield f"{out}"
        play = at_left(profile, 1, 300)
        shot = Shot(True, HOME, "4")
        yield from note(play, Foul(GUEST, "14", award=Award.THREE), Foul(GUEST, "15", kind), shot)
        for other in profile.fouls.kinds:
            play = at_left(profile, 1, 300)
            yield from note(play, Foul(GUEST, "14", kind), Foul(GUEST, "14", other))
            yield from note(play, Foul(GUEST, "15", kind), Foul(HOME, "5", other))
            yield from note(play, Foul(GUEST, "14", other), Foul(GUEST, "15", kind))


def limits(profile: Profile) -> Iterator[str]:
    """Fouls on one player to the limit and beyond it; coaches; double fouls."""
    play = at_left(profile, 1, 300)
    for _ in range(profile.fouls.limit + 2 if profile.fouls.limit < 20 else 8):
        yield from note(play, Foul(GUEST, "14"), calls.Substitution(GUEST, "14", "3"))
    yield str(profile.fouls.limit > 20)
    play = at_left(profile, 1, 300)
    technical = FoulKind.TECHNICAL
    for on in (Offender.COACH, Offender.BENCH, Offender.BENCH, Offender.BENCH, Offender.COACH):
        yield from note(play, Foul(HOME, "4", technical, on))
    yield from note(play, calls.DoubleFoul("5", "15"), calls.DoubleFoul("5", "15"))


def time_outs(profile: Profile) -> Iterator[str]:
    """Every time-out taken and more, by one team; the other waits."""
    play = Play(profile).start().take(calls.Tip(HOME))
    for period in all_periods(profile):
        play.to_period(period)
        for length in ("full", "thirty", "full"):
            yield from note(play, Timeout(HOME, length))
            yield reminders(play)
            for each in due(play.game)[:1]:
                yield from note(play, each.call, calls.SubWaiting(GUEST), calls.TimeoutOver())
            yield from note(play, calls.SubWaiting(GUEST), calls.StartClock())
        yield from note(play, calls.EndPeriod(), Timeout(HOME), Timeout(HOME), Timeout(HOME))
    for period in all_periods(profile):
        for left in (421, 419, 181, 179, 121, 119):
            play = at_left(profile, period, left)
            yield from note(play, calls.StopClock(), Timeout(GUEST), Timeout(GUEST), Timeout(HOME))
            yield from note(play, calls.StartClock(), calls.StopClock())
            play = at_left(profile, period, left)
            yield from note(play, calls.StopClock(), Timeout(GUEST), calls.StartClock())
            yield from note(play, calls.StopClock(), Timeout(HOME))


def goals(profile: Profile) -> Iterator[str]:
    """What may be scored, whose an own basket is, goals that stop the clock, points that end it."""
    play = at_left(profile, 1, 300)
    for points in (1, 2, 3):
        own = Score(GUEST, points, "14", own_basket=True)
        yield from note(play, Score(HOME, points, "4"), own, calls.MakePoints(points))
    yield from note(play, Shot(True, HOME, "4"))
    for period in all_periods(profile):
        for left in (121, 120, 60.1, 60, 59.8, 0.1):
            play = at_left(profile, period, left + 1)
            yield from note(play, Score(HOME, profile.goals.field[-1], "4"))
    for period in all_periods(profile):
        play = at_left(profile, period, 50)
        play.game = play.game if play.game.phase.value == "running" else play.start().game
        for points in (1, 2, 20, 21, 22, 40):
            yield from note(play, SetScore(HOME, points))


def leads(profile: Profile) -> Iterator[str]:
    """Large leads, and the clock stopped though it should run on."""
    for period in all_periods(profile):
        for left in (541, 300, 121, 119, 60):
            play = at_left(profile, period, left)
            for points in (19, 20, 34, 35, 19, 20, 40):
                yield from note(play, SetScore(GUEST, points))
                yield reminders(play)
            yield from note(play, calls.StopClock(), calls.EndGame())
            play = at_left(profile, period, left)
            yield reminders(play)
            yield from note(play, calls.StopClock())


def waiting(profile: Profile) -> Iterator[str]:
    """Time-outs and substitutes that wait: at whistles, goals, throws, and in intervals."""
    two = Foul(GUEST, "14", award=Award.TWO)
    asked: list[Call] = [calls.TimeoutWaiting(team) for team in Team]
    asked += [calls.SubWaiting(team) for team in Team]
    field = Score(HOME, profile.goals.field[-1], "4")
    early = Play(profile).take(calls.StartPeriod())
    yield from note(early, *asked, calls.Substitution(HOME, "4", "5"), Timeout(HOME))
    for owner in (Owner.OURS, Owner.FOLLOW):
        for period, left in ((1, 300), (profile.periods.count, 110), (profile.periods.count, 50)):
            for first in ((calls.DeadBall(),), (field,), (two,), (field, calls.StopClock())):
                play = at_left(profile, period, left, owner)
                yield from note(play, *asked, *first, Timeout(HOME))
                play = at_left(profile, period, left, owner)
                yield from note(play, *first, *asked, calls.SubsIn())
            play = at_left(profile, period, left, owner).stop()
            yield from note(play, two, *asked, Shot(True), Timeout(HOME), calls.SubsIn())
            yield from note(play, calls.SubWaiting(HOME), Shot(True), calls.StartClock())
            play = at_left(profile, period, left, owner).stop()
            yield from note(play, two, *asked, Shot(True), Shot(False), calls.EndPeriod())
    play = at_left(profile, 1, 300).stop()
    swap = [calls.Substitution(HOME, a, b) for a, b in (("4", "5"), ("5", "4"), ("7", "5"))]
    yield from note(play, *swap, calls.StartClock(), calls.StopClock(), swap[0])


def corrections(profile: Profile) -> Iterator[str]:
    """Errors put right at once, after one stop, after two, late, and after the end."""
    last = profile.periods.count
    field = profile.goals.field
    restart = (calls.StopClock(), calls.StartClock())
    for period, left in ((1, 300), (last, 140), (last, 110), (last + 1, 60)):
        for stops in (0, 1, 2, 3):
            play = at_left(profile, period, left)
            yield from note(play, Foul(GUEST, "14"), *restart * stops, calls.SetAward(Award.TWO))
            play = at_left(profile, period, left)
            score = Score(HOME, field[-1], "4")
            yield from note(play, score, *restart * stops, calls.MakePoints(field[0]))
            play = at_left(profile, period, left)
            yield from note(play, Foul(GUEST, "14"), *restart, score, calls.SetAward(Award.TWO))
            yield from note(play, calls.EndPeriod(), calls.MakeNumber("5"), SetScore(HOME, 9))
            yield from note(play, calls.EndGame(), SetScore(HOME, 7), calls.Undo())


def incidents(profile: Profile) -> Iterator[str]:
    """What happens seldom: who is hurt, delays, six on court, time-outs too many, forfeits."""
    play = at_left(profile, 1, 300)
    yield from note(play, calls.Hurt(HOME, "5"), calls.Hurt(GUEST, "14", bleeds=True))
    for call in (calls.DelayWarning(HOME), calls.TooManyOn(GUEST), calls.AddPlayer(HOME, "9")):
        yield from asked_after(play, call)
        yield from asked_after(play, call)
    for _ in range(10):
        yield from asked_after(play, Timeout(HOME))
    yield from note(play, calls.DoubleFoul("5", "15", FoulKind.TECHNICAL))
    for loser, default in product(Team, (False, True)):
        for points in ((0, 0), (9, 7), (7, 9)):
            play = at_left(profile, 1, 300)
            scores = [SetScore(team, n) for team, n in zip(Team, points, strict=True)]
            yield from note(play, *scores, calls.Forfeit(loser, default))
            yield f"{official_score(play.game, Forfeited(loser, default))}"


def asked_after(play: Play, call: Call) -> Iterator[str]:
    """Take a call, and write what the table asks about it once it is booked."""
    question = follow_up(Heard(call, "voice", play.at()), Decisions(play.game))
    yield from note(play, call)
    yield f"{question and (question.kind.name, question.slots)}"


def lists(profile: Profile) -> Iterator[str]:
    """Numbers and names: legal ones, late ones, six on court."""
    play = Play(profile, home=("4", "5"), guest=())
    for number in ("00", *map(str, range(1, 100)), "0"):
        yield from note(play, calls.AddPlayer(GUEST, number))
    for number in ("0", "00", "66"):
        yield from note(play, calls.AddPlayer(HOME, number))
    for number in KITES:
        yield from note(play, calls.AddPlayer(HOME, number), calls.Starter(HOME, number))
    play.start()
    yield from note(play, calls.AddPlayer(HOME, "1"), calls.AddPlayer(HOME, "2"))
    yield from note(play, calls.Substitution(HOME, "2", "1"))
    yield str(answers(play.game, calls.Ask(Topic.BOARD), play.at()))


def as_written(profile: Profile) -> Iterator[str]:
    """Every value as it stands, for those that nothing in a game depends on."""
    for section in dataclasses.fields(profile):
        if section.name not in ("name", "title", "edition", "sources"):
            yield f"{section.name}: {getattr(profile, section.name)}"


PARTS: dict[str, Part] = {
    part.__name__: part
    for part in (
        periods, opening, common_fouls, kinds_of_fouls, limits, time_outs, goals, leads, waiting,
        corrections, incidents, lists, as_written,
    )
}  # fmt: skip


def digest(profile: Profile, part: str) -> str:
    """What a part writes of a league, in short."""
    text = "\n".join(PARTS[part](profile))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def main() -> None:
    """Print what a part writes, or write all digests anew."""
    if len(sys.argv) == 3:
        print("\n".join(PARTS[sys.argv[2]](load_profile(sys.argv[1]))))
        return
    golden = {n: {p: digest(load_profile(n), p) for p in PARTS} for n in profile_names()}
    GOLDEN.write_text(json.dumps(golden, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
