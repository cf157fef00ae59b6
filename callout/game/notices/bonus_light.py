"""The bonus light: which award it shows, and notices of its changes."""

from __future__ import annotations

from dataclasses import replace

from callout.game.choices import Light
from callout.game.figures.fouls import penalty
from callout.game.figures.score import entry_of
from callout.game.fold import REWRITING, Entry
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.state import Game, Owner
from callout.game.terms import Award, Team


def lit(game: Game, team: Team, left_tenths: int) -> Award:
    """The award that the bonus light shows for a team's next common foul; NONE while it is dark.

    A foul changes the light when the ball is live again, which the table knows from the clock being
    started. Where no clock is kept, or it runs through whistles, the foul changes it at once.
    Source: FIBA 49.1, once the ball is live after the fourth foul; for NFHS a crew's card, once
    the penalty of the last foul without throws has been administered.
    """
    if game.owner is Owner.NONE or game.profile.clock.runs_on:
        return penalty(game, team, None, left_tenths)
    before = tuple(c for c in game.charges if entry_of(c.item) <= game.live_since)
    if len(before) < len(game.charges):
        game = replace(game, charges=before)
    return penalty(game, team, None, left_tenths)


def lights_changed(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """Notices of a light that the entry has changed, on the side where the league shows it."""
    if not after.phase.in_period:
        return []
    left, found = after.seen_tenths, []
    by_receiver = after.profile.penalty.light is Light.RECEIVER
    kind = kinds.BONUS_LIGHT if by_receiver else kinds.BONUS_MARKER
    for team in Team:
        was, now = lit(before, team, before.seen_tenths), lit(after, team, left)
        slots = {"team": team, "receiver": team.other}
        if now is not was and now is not Award.NONE:
            found.append(Notice(kind, {**slots, "award": now}))
        elif now is not was and _ends(entry, after, team):
            found.append(Notice(kinds.BONUS_OFF, slots))
    return found


def _ends(entry: Entry, after: Game, team: Team) -> bool:
    """Whether a correction has ended the bonus.

    It has not where a foul of this stop, since which the ball was not live, still brings it.
    """
    rewritten = any(isinstance(event, REWRITING) for event in entry.events)
    return rewritten and penalty(after, team, None, after.seen_tenths) is Award.NONE
