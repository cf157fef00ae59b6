"""Time at the table: the machine's clock, and what the game clock shows by it."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Final, Protocol

from callout.game.state import At, Game


class Time(Protocol):
    """A source of time."""

    def wall_ms(self) -> int:
        """This moment; a later call never gives an earlier one.

        Units: milliseconds since 1970.
        """


class MachineTime:
    """The machine's time: its date, read once at the start, and from then on its steady clock.

    A network time service may correct the machine's date during a game, and the game clock must not
    jump with it.
    """

    def __init__(
        self,
        since_ms: int = 0,
        date_ns: Callable[[], int] | None = None,
        steady: Callable[[], int] | None = None,
    ) -> None:
        """It begins no earlier than `since_ms`, the last moment of the game's journal.

        The machine's date may have been put back since then.

        Units: milliseconds since 1970.
        """
        self._steady = steady or steady_ns
        self._start_ms = max(since_ms, (date_ns or time.time_ns)() // 1_000_000)
        self._start_ns = self._steady()

    def wall_ms(self) -> int:
        """This moment; a later call never gives an earlier one."""
        return self.moment_ms(self.now_ns())

    def seconds(self) -> float:
        """This moment in seconds."""
        return self.wall_ms() / 1000

    def now_ns(self) -> int:
        """This moment by the steady clock.

        Units: nanoseconds of `steady_ns`.
        """
        return self._steady()

    def moment_ms(self, at_ns: int) -> int:
        """A moment of the steady clock, such as a key going down, as a date.

        Units: nanoseconds of `steady_ns`; milliseconds since 1970.
        """
        return self._start_ms + (at_ns - self._start_ns) // 1_000_000


class SimulatedTime:
    """A time that only `set` moves, for scripts and tests."""

    def __init__(self, start_ms: int = 0) -> None:
        self._now_ms = start_ms

    def wall_ms(self) -> int:
        """The moment that was last set."""
        return self._now_ms

    def set(self, wall_ms: int) -> None:
        """Let it be that moment.

        Raises:
            ValueError: the moment is past.
        """
        if wall_ms < self._now_ms:
            raise ValueError(f"expected a moment from {self._now_ms} on, got {wall_ms}")
        self._now_ms = wall_ms


LONGEST_H: Final = 11
"""Nobody sits down at a table longer than that before a game, so that on a clock of twelve hours
"seven thirty", said at half past seven or later, is past.
"""
LONGEST_TODAY_H: Final = 20
"""On a clock of 24 hours 19:30 is this evening, even early in the morning."""


def day_time_ms(
    hour: int | None, shown_tenths: int | None, now_ms: int, halves: bool = True
) -> int:
    """The next moment at which a clock of this place shows that time; the last one, if the next
    is more than `LONGEST_H` hours away; without `halves` `LONGEST_TODAY_H`, if it is today.

    `shown_tenths` has hours and minutes in the place of minutes and seconds. With
    `halves` an hour up to 12 may be of the morning or of the evening.

    Units: milliseconds since 1970.
    """
    seconds = (shown_tenths or 0) // 10
    hour, minute = (seconds // 60, seconds % 60) if hour is None else (hour, 0)
    now = datetime.fromtimestamp(now_ms / 1000)
    hours = (hour % 12, hour % 12 + 12) if hour <= 12 and halves else (hour,)
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    found = [
        round(1000 * (midnight + timedelta(days=day, hours=each, minutes=minute)).timestamp())
        for day in (-1, 0, 1)
        for each in hours
    ]
    end_ms = now_ms + 3_600_000 * LONGEST_H
    if not halves:
        tomorrow_ms = round(1000 * (midnight + timedelta(days=1)).timestamp())
        end_ms = max(end_ms, min(tomorrow_ms - 1, now_ms + 3_600_000 * LONGEST_TODAY_H))
    coming = [each for each in found if now_ms < each <= end_ms]
    return min(coming, default=max(each for each in found if each <= now_ms))


_SHOWN: Final = re.compile(r"(\d{1,2}):([0-5]\d)(?:\.(\d))?|(\d{1,2})\.(\d)")


def parse_clock(text: str) -> int | None:
    """The time left that `7:41`, `0:07.5` or `8.3` stands for; None for any other text.

    Units: tenths of a second.
    """
    match = _SHOWN.fullmatch(text)
    if match is None:
        return None
    minutes, seconds, tenths, short, short_tenths = (int(part or 0) for part in match.groups())
    return (minutes * 60 + seconds + short) * 10 + tenths + short_tenths


def clock_text(tenths: int) -> str:
    """The time left as a clock shows it: `7:41`, and `8.3` in the last minute."""
    if tenths < 600:
        return f"{tenths // 10}.{tenths % 10}"
    return f"{tenths // 600}:{tenths // 10 % 60:02}"


def at(game: Game, wall_ms: int) -> At:
    """A moment, with what the game clock shows then."""
    return At(game.clock.left_at(wall_ms), wall_ms)


def shows_ms(game: Game, left_tenths: int) -> int | None:
    """When the running clock first shows that time; None if it will not, or does not run.

    Units: milliseconds since 1970; tenths of a second.
    """
    clock = game.clock
    if clock.since_ms is None or left_tenths > clock.left_tenths:
        return None
    return clock.since_ms + (clock.left_tenths - left_tenths) * 100


def steady_ns() -> int:
    """The machine's steady clock: nobody sets it, and it runs on while the machine sleeps.

    Units: nanoseconds since a moment that is fixed until the machine restarts.
    """
    # CLOCK_BOOTTIME runs on while a laptop sleeps; the plain monotonic clock may stand.
    boot = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic_ns() if boot is None else time.clock_gettime_ns(boot)
