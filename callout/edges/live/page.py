"""The game in browsers: what the table tells the page's process, and what comes back from it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from callout.edges.child import REAL, SupervisedChild, Supervision
from callout.edges.live.inbox import FromPage, PageCalled, PageMade, PageSigned, Put
from callout.edges.live.screen import SIDES, Called, next_foul, number_missing
from callout.edges.page import messages
from callout.edges.page.addresses import Addresses
from callout.edges.page.codes import for_terminal
from callout.edges.page.messages import COMMANDS, EVENTS, Beat, Open, Problem, Ready, Show, Told
from callout.edges.restarts import Back, Change, Died
from callout.game import calls
from callout.table.hands.buttons import PageFile
from callout.table.view import View

MODULE: Final = "callout.edges.page.process"

LOADS_S: Final = 60
"""A server that does not listen within this time hangs."""

BEAT_S: Final = 2.0
"""The table tells its clock this often, so that a page can tell whether it is old."""

PAUSES: Final = {
    "before": "before the game",
    "interval": "interval",
    "timeout": "time-out",
    "over": "final",
}


@dataclass(frozen=True, slots=True)
class PageLanguage:
    """The language of a game, on its pages."""

    language: str
    """Its code."""
    words: Mapping[str, str]
    """What each button says in it."""
    texts: PageFile
    """What else stands on the pages."""

    def hall(self) -> dict[str, Any]:
        """What the hall's page is told of it: it has no buttons."""
        return {"language": self.language, "texts": self.texts.hall}

    def partner(self) -> dict[str, Any]:
        """What the partner's page and the one after the game are told of it."""
        every = {**self.texts.hall, **self.texts.partner, **self.texts.after}
        return {"language": self.language, "words": self.words, "texts": every}


@dataclass(slots=True)
class LivePage:
    """The pages of one game, in a process that is kept alive."""

    addresses: Addresses
    names: Mapping[str, str]
    regular: int
    """The number of regular periods."""
    has_arrow: bool
    game: str
    """The path of the game's file."""
    spoken: PageLanguage
    now_s: Callable[[], float]
    tell: Callable[[str], None] | None = None
    """Shows a line of its own, where the terminal shows the game; None prints it."""
    by: Supervision = REAL
    _shown: object = None
    _told_s: float = float("-inf")
    _put: Put | None = None
    _child: SupervisedChild[Told] = field(init=False)
    _show: Show | None = None
    _beat: Beat = field(default_factory=lambda: Beat(0, False))

    def __post_init__(self) -> None:
        """Prepare the process."""
        shared = (self.addresses.shared,) if self.addresses.shared else ()
        self._child = SupervisedChild(
            "page", (MODULE, str(self.addresses.port), *shared), EVENTS,
            took=self._took, changed=self._changed, greet=self._greet, loads_s=LOADS_S, by=self.by,
        )  # fmt: skip

    def start(self, put: Put) -> None:
        """Start the process; `put` gets the partner's calls."""
        self._put = put
        self._child.start()

    def _greet(self) -> None:
        """The tokens, and the game as it is."""
        self._child.write(COMMANDS.write(self._open()))
        if self._show is not None:
            self._child.write(COMMANDS.write(self._show))
            self._child.write(COMMANDS.write(self._beat))

    def _open(self) -> Open:
        where = self.addresses
        return Open(where.hall, where.partner, where.after, self.game, self.spoken.language)

    def _took(self, event: Told) -> None:
        match event:
            case Ready():
                if not self._child.was_ready:
                    self._tell_where()
                self._child.ready()
            case Problem(what):
                self._say(f"page: {what}")
            case _:
                self._child.worked()
                if self._put is not None:
                    self._put(_item(event))

    def _changed(self, change: Change) -> None:
        match change:
            case Back():
                self._say("page: it is back")
            case Died(_, what):
                self._say(f"page: it {what}; it is started again")

    def _tell_where(self) -> None:
        if self.tell is None:
            print("\n".join(where_pages_are(self.addresses)), flush=True)
            return
        for line in addresses_of(self.addresses):
            self.tell(line)

    def _say(self, what: str) -> None:
        if self.tell is None:
            print(what, file=sys.stderr, flush=True)
        else:
            self.tell(what)

    def show(self, view: View, latest: Iterable[Called], question: str) -> None:
        """The game as it now is; told only where it has changed, the clock every two seconds."""
        left, running = int(view["clock_tenths"]), bool(view["clock_running"])
        latest = tuple(latest)
        seen = ({**view, "clock_tenths": None if running else left}, latest, question)
        if seen != self._shown:
            self._shown = seen
            hall = hall_state(view, self.names, self.regular, self.has_arrow)
            partner = partner_state(view, latest, question)
            self._show = Show({**hall, **self.spoken.hall()}, {**partner, **self.spoken.partner()})
            self._child.write(COMMANDS.write(self._show))
        if self.now_s() - self._told_s >= BEAT_S or running != self._beat.running:
            self._told_s, self._beat = self.now_s(), Beat(left, running)
            self._child.write(COMMANDS.write(self._beat))

    def close(self) -> None:
        """End the process; the pages say that what they show is old."""
        self._child.close(patience_s=2.0)


def _item(done: messages.Done) -> FromPage:
    """What was done on a page, for the table's queue."""
    match done:
        case messages.Called(words):
            return PageCalled(words)
        case messages.Numbered(item, number):
            return PageMade(calls.Correct(item, number=number), number)
        case messages.Approved(by):
            return PageMade(calls.Approve(by), by)
        case messages.Signed(words, by, reason):
            return PageSigned(words, by, reason)


def addresses_of(addresses: Addresses) -> list[str]:
    """A line for each page."""
    return [
        f"Partner's page: {addresses.url('partner')}",
        f"Hall's page: {addresses.url('hall')}",
        f"After the game: {addresses.url('after')}",
    ]


def where_pages_are(addresses: Addresses) -> list[str]:
    """Lines for the scorer: the addresses, and a code for telephones where they are shared."""
    lines = addresses_of(addresses)
    if addresses.shared is None:
        return lines
    return [*lines, "For the hall's telephones:", for_terminal(addresses.url("hall"))]


def hall_state(
    view: View, names: Mapping[str, str], regular: int, has_arrow: bool
) -> dict[str, Any]:
    """What the hall sees: nothing of any player."""
    fouls = view["team_fouls"][-1]
    return {
        "names": dict(names),
        "score": view["score"],
        "period": period_name(int(view["period"]), regular),
        "state": _state(view),
        "left_tenths": view["clock_tenths"],
        "running": view["clock_running"],
        "team_fouls": fouls,
        "next_foul": {side: next_foul(view, side) for side in SIDES},
        "timeouts_left": view["timeouts_left"],
        "arrow": view["arrow"],
        "has_arrow": has_arrow,
    }


def period_name(period: int, regular: int) -> str:
    """`Period 2`, or `Overtime 1`."""
    return f"Period {max(1, period)}" if period <= regular else f"Overtime {period - regular}"


def _state(view: View) -> str:
    if view["phase"] in PAUSES:
        return PAUSES[view["phase"]]
    return "running" if view["clock_running"] else "stopped"


def partner_state(view: View, latest: Iterable[Called], question: str) -> dict[str, Any]:
    """What the partner sees besides: numbers without names, which may be children's."""
    return {
        "players": {side: _players(view, side) for side in SIDES},
        "open": {side: number_missing(view, side) for side in SIDES},
        "latest": [{"words": words, "reply": reply} for words, reply in latest],
        "question": question,
    }


def _players(view: View, side: str) -> list[dict[str, Any]]:
    on_court = view["on_court"][side]
    listed = [
        {
            "number": number,
            "points": player["points"],
            "fouls": player["fouls"],
            "out": player["out"],
            "on_court": number in on_court,
        }
        for number, player in view["players"][side].items()
    ]
    return [
        *listed,
        *(
            {"number": said, **sums, "out": False, "on_court": False, "unlisted": True}
            for said, sums in view["unlisted"][side].items()
        ),
    ]
