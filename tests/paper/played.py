"""Whole games for the tests of the sheet: by hand where a mark matters, else by a seed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from random import Random

from callout.game.calls import (
    AddPlayer,
    DelayWarning,
    EndGame,
    EndPeriod,
    Forfeit,
    Foul,
    LastNumber,
    LastTeam,
    MakePoints,
    NoBasket,
    Number,
    Score,
    SetScore,
    Shot,
    Starter,
    StartPeriod,
    Substitution,
    Suspend,
    Timeout,
    TimeoutOver,
    Undo,
)
from callout.game.profile.file import load_profile
from callout.game.state import Owner, Phase
from callout.game.terms import Award, FoulKind, Offender, Team
from callout.paper.export import Recorded
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from tests.game.play import FOXES, GUEST, HOME, KITES, Play

BEGAN_MS = 1_795_888_800_000
"""28 November 2026, 18:00 UTC."""

KITE_NAMES = ("Ada Moss", "Bo Reed", "Cleo Marsh", "Dee Fern", "Eli Brook", "Finn Holt", "Gus Lane")


def recorded(
    play: Play, name: str = "saturday", names: tuple[str, ...] = (), foxes: tuple[str, ...] = ()
) -> Recorded:
    """The game as its file would give it; names where they are given."""
    sides = play.begin.home, play.begin.guest
    lists = []
    for side, given in zip(sides, (names, foxes), strict=True):
        padded = (*given, *[""] * len(side.numbers))
        lists.append(Listed(side.name, tuple(map(Player, side.numbers, padded))))
    setup = Setup(play.game.profile.name, lists[0], lists[1], play.game.owner)
    left = play.at().left_tenths
    return Recorded(name, setup, play.game, tuple(play.entries), left, "1f2e-0a9b-77c1-d03e-5a44")


def begin(
    profile: str, home: tuple[str, ...] = KITES, guest: tuple[str, ...] = FOXES,
    owner: Owner = Owner.OURS,
) -> Play:  # fmt: skip
    """A game of invented teams before its first call, on a Saturday evening."""
    play = Play(load_profile(profile), owner, home, guest)
    play.now_ms = BEGAN_MS
    return play


def end_period(play: Play) -> None:
    """End the period, whatever is left of it."""
    play.wait(5).take(EndPeriod())


def end_game(play: Play) -> Play:
    """End the game, unless the last period's end did."""
    if play.game.phase is not Phase.OVER:
        play.wait(5).take(EndGame())
    return play


def play_period(play: Play, random: Random, baskets: int, fouls: int) -> None:
    """A period with baskets, fouls with their throws, and a time-out."""
    if play.game.phase is Phase.INTERVAL or play.game.phase is Phase.BEFORE:
        play.wait(30).start()
    acts = ["basket"] * baskets + ["foul"] * fouls + ["timeout"]
    random.shuffle(acts)
    for act in acts:
        team = random.choice(list(Team))
        play.wait(random.randint(2, 9))
        number = random.choice(play.game.side(team).numbers)
        if act == "basket":
            points = random.choice([p for p in play.game.profile.goals.field for _ in range(4 - p)])
            play.call(Score(team, points, number))
        elif act == "foul":
            _foul(play, random, team, number)
        else:
            play.stop()
            play.call(Timeout(team))
            play.wait(20).call(TimeoutOver())
            play.start()


def _foul(play: Play, random: Random, team: Team, number: str) -> None:
    play.stop()
    award = random.choice((None, None, Award.TWO))
    play.call(Foul(team, number, award=award))
    shooter = random.choice(play.game.side(team.other).numbers)
    while any(owed.team is team.other for owed in play.game.owed):
        play.wait(6).call(Shot(random.random() < 0.7, team.other, shooter))
    play.wait(3).start()


def whole(
    profile: str, seed: int, periods: int, baskets: int, fouls: int = 4,
    home: tuple[str, ...] = KITES, guest: tuple[str, ...] = FOXES,
) -> Play:  # fmt: skip
    """A game by a seed; level at the end of each period but the last, where there are overtimes."""
    play, random = begin(profile, home, guest), Random(seed)
    regular = play.game.profile.periods.count
    for team in Team:
        for number in play.game.side(team).numbers[: play.game.profile.roster.on_court]:
            play.take(Starter(team, number))
    for period in range(1, periods + 1):
        play_period(play, random, baskets, fouls)
        if regular <= period < periods:
            level(play)
        elif period == periods:
            while play.score[0] == play.score[1]:
                play.wait(3).take(Score(HOME, 2, play.game.home.numbers[0]))
        end_period(play)
    return end_game(play)


def level(play: Play) -> None:
    """Score until both teams have as many points."""
    while play.score[0] != play.score[1]:
        behind = HOME if play.score[0] < play.score[1] else GUEST
        gap = abs(play.score[0] - play.score[1])
        number = play.game.side(behind).numbers[1]
        play.wait(2).take(Score(behind, 2 if gap != 1 else 1, number))


# --- the cases ------------------------------------------------------------------------------------


def youth_numbers_only() -> Recorded:
    """A youth game without any name."""
    return recorded(whole("youth-6-minute", 4, 4, 9))


def long_names(profile: str = "fiba-2024") -> Recorded:
    """15 names of 25 letters on each side: one is Greek, one Hebrew and one Arabic."""
    numbers = tuple(str(n) for n in (*range(4, 16), 23, 33, 55))
    names = [
        f"{first}wilhelmina Abernathy-{last}"[:25]
        for first, last in zip(
            "ABCDEFGHIJKLMNO", ("Oakes", "Reeds", "Stone", "Vance", "Wells") * 3, strict=True
        )
    ]
    names[3] = "Κωνσταντίνα Παπαδημητρίου"
    names[7] = "אלכסנדרה בן־יהודה־הררי־לוי"[:25]
    names[9] = "عبد الرحمن بن عبد العزيز ي"[:25]
    play = whole(profile, 8, 4, 8, home=numbers, guest=numbers)
    return recorded(play, names=tuple(names), foxes=tuple(reversed(names)))


def with_people() -> Recorded:
    """Captains, coaches, an assistant, officials and a place."""
    made = recorded(whole("fiba-2024", 6, 4, 6), names=KITE_NAMES)
    people = (
        ("", "Crew chief", "Cy Dale"), ("", "Umpire 1", "Di Tern"), ("", "Scorer", "Flo Ames"),
        ("home", "coach", "Gale Wren"), ("home", "assistant", "Hal Finch"),
    )  # fmt: skip
    home = replace(made.setup.home, captain="7")
    guest = replace(made.setup.guest, captain="15")
    setup = replace(
        made.setup, home=home, guest=guest, people=people, place="Harbour Hall",
        competition="Saturday league", fixture="2026-114",
    )  # fmt: skip
    return replace(made, setup=setup)


def three_digits() -> Recorded:
    """A game of three-digit scores, over 160 points for one team."""
    play = whole("fiba-2024", 21, 4, 36, 8)
    return recorded(play, names=KITE_NAMES)


def four_overtimes(profile: str = "fiba-2024") -> Recorded:
    """A game of eight periods."""
    return recorded(whole(profile, 5, 8, 7), names=KITE_NAMES)


def hard_fouls() -> Recorded:
    """Two technical fouls on a player, a disqualification, the coach's and the bench's fouls."""
    play = begin("fiba-2024").start()
    play.wait(20).take(Score(HOME, 2, "5")).stop()
    play.take(Foul(GUEST, "8", FoulKind.TECHNICAL), Shot(True, HOME, "5")).start()
    play.wait(20).stop().take(Foul(GUEST, "8", FoulKind.TECHNICAL), Shot(False, HOME, "7")).start()
    play.wait(20).stop()
    play.take(Foul(HOME, "11", FoulKind.DISQUALIFYING), Shot(True, GUEST, "3"),
              Shot(True, GUEST, "3")).start()  # fmt: skip
    play.wait(20).stop()
    play.take(Foul(HOME, None, FoulKind.TECHNICAL, Offender.COACH), Shot(True, GUEST, "5")).start()
    play.wait(20).stop()
    play.take(Foul(HOME, None, FoulKind.TECHNICAL, Offender.BENCH), Shot(True, GUEST, "5")).start()
    play.wait(20).stop()
    play.take(Foul(HOME, "12", FoulKind.UNSPORTSMANLIKE, award=Award.TWO), Shot(True, GUEST, "14"),
              Shot(False, GUEST, "14")).start()  # fmt: skip
    play.wait(20).stop().take(Foul(GUEST, "3", award=Award.THREE))
    play.take(*(Shot(made, HOME, "23") for made in (True, True, False))).start()
    end_period(play)
    return recorded(play, names=KITE_NAMES)


def open_and_corrected() -> Recorded:
    """Entries without a number, a shirt on no list, and corrections, one after a period."""
    play = begin("nfhs-2026").start()
    play.wait(20).take(Score(HOME, 2, "5")).wait(15).take(Score(GUEST, 3, None))
    play.wait(15).take(Score(GUEST, 2, "99")).wait(9).take(Score(HOME, 3, "7"), MakePoints(2))
    play.wait(9).stop().take(Foul(HOME, None)).start()
    play.wait(9).take(Score(HOME, 2, "4")).wait(4).take(NoBasket())
    play.wait(9).take(Score(GUEST, 2, "5")).wait(4).take(LastTeam(GUEST, HOME))
    end_period(play)
    play.wait(20).take(LastNumber(HOME, "basket", "23"), SetScore(GUEST, 6))
    play.wait(40).start().wait(30).take(Score(HOME, 2, "4"), Undo())
    play.wait(9).take(Score(GUEST, 2, None, True)).stop().take(Timeout(HOME, "thirty"))
    play.wait(20).take(TimeoutOver()).start().wait(5).take(AddPlayer(HOME, "44"))
    play.wait(9).take(Score(HOME, 2, "44")).wait(3)
    return recorded(play, names=KITE_NAMES)


def substitutes() -> Recorded:
    """Starters, a substitute, and time-outs late in a game: FIBA interpretation 18/19-23."""
    play = begin("fiba-2024")
    for number in KITES[:5]:
        play.take(Starter(HOME, number))
    play.start().wait(60).stop().take(Substitution(HOME, "12", "4")).wait(5).take(Timeout(GUEST))
    play.wait(20).take(TimeoutOver()).start()
    for period in range(2, 5):
        end_period(play)
        play.take(StartPeriod()).start().wait(30)
        play.take(Score(HOME, 3, "12"), Score(GUEST, 2, "3"))
        assert play.game.period == period
    play.wait(play.at().left_tenths / 10 - 118).stop().take(Timeout(HOME))
    play.wait(20).take(TimeoutOver()).start().wait(5).take(Score(HOME, 2, None)).wait(2)
    play.take(Number("12"))
    end_period(play)
    return recorded(end_game(play), names=KITE_NAMES)


def forfeited() -> Recorded:
    """A game that the guest, who leads, gives up in the third quarter; and two things noted."""
    play = begin("fiba-2024").start().wait(20).take(Score(GUEST, 2, "5"), Score(HOME, 3, "7"))
    play.wait(20).stop().take(DelayWarning(HOME)).start().to_period(3).wait(20)
    play.take(Score(GUEST, 2, "8")).stop().take(Suspend()).wait(600).take(Forfeit(GUEST))
    return recorded(play, names=KITE_NAMES)


CASES: Mapping[str, Callable[[], Recorded]] = {
    "youth-numbers-only": youth_numbers_only,
    "long-names": long_names,
    "with-people": with_people,
    "three-digits": three_digits,
    "four-overtimes": four_overtimes,
    "hard-fouls": hard_fouls,
    "open-and-corrected": open_and_corrected,
    "substitutes": substitutes,
    "forfeited": forfeited,
}
