"""A game's setup as pairs of key and value: the inverse of `setup.make_setup`."""

from __future__ import annotations

from callout.game.terms import Team
from callout.language.shipped import ENGLISH
from callout.table.setup.people import ASSISTANT, COACH, name_of, say_officials
from callout.table.setup.roster import say_roster
from callout.table.setup.setup import Setup


def setup_pairs(setup: Setup) -> dict[str, str]:
    """The keys and values from which `make_setup` makes this setup."""
    pairs = {
        "profile": setup.profile,
        "language": setup.language if setup.language != ENGLISH else "",
        "source": setup.source,
        "situation": setup.situation,
        "place": setup.place,
        "competition": setup.competition,
        "officials": say_officials(setup.people),
        "clock": setup.owner.value,
        "book": setup.book.value,
        "wake": " ".join(setup.wake),
    }
    for team in Team:
        listed, side = setup.team(team), team.value
        starters = " ".join(player.number for player in listed.players if player.starter)
        pairs[side] = f"{listed.name} | {say_roster(listed.players)}"
        pairs[f"starters {side}"] = starters
        pairs[f"captain {side}"] = listed.captain or ""
        pairs[f"coach {side}"] = listed.coach or name_of(setup.people, side, COACH)
        pairs[f"assistant {side}"] = name_of(setup.people, side, ASSISTANT)
        pairs[f"nickname {side}"] = ", ".join(listed.words)
    pairs |= {"league": setup.league, "fixture": setup.fixture}
    return {key: value for key, value in pairs.items() if value}
