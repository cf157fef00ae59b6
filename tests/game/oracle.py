"""A scorer's book kept the naive way, to compare with: plain dicts, counted anew each time.

It shares no code with the engine. The rules are read straight from the profile's file, a call is
its name and its plain values, and every figure is a loop over what stands in the book.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

Call = tuple[str, dict[str, Any]]
CLOCK = ("start_clock", "stop_clock", "start_period", "end_period")


def rules_of(folder: Path, name: str) -> dict[str, Any]:
    """The values of a profile with those of its base, by dotted name."""
    data = tomllib.loads((folder / f"{name}.toml").read_text(encoding="utf-8"))
    rules = rules_of(folder, data["based_on"]) if "based_on" in data else {}
    for section, entries in data.items():
        for key, entry in entries.items() if isinstance(entries, dict) else ():
            if "is" in entry:
                rules[f"{section}.{key}"] = entry["is"]
            else:
                named = {**rules.get(f"{section}.{key}", {})}
                named |= {name: value["is"] for name, value in entry.items()}
                rules[f"{section}.{key}"] = {n: v for n, v in named.items() if v is not False}
    return rules


class Oracle:
    """The book of one game."""

    def __init__(self, rules: dict[str, Any], rosters: dict[str, tuple[str, ...]]) -> None:
        self.rules, self.rosters = rules, rosters
        self.period = 0
        self.between = True
        self.lines: list[dict[str, Any]] = []
        self.gone: list[dict[str, Any]] = []

    def take(self, call: Call, left: int = 0) -> None:
        """Book a call that the game allows, made with so many tenths of a second left."""
        name, values = call
        if name in CLOCK:
            self._clock(name)
        elif name == "undo":
            last = self._last(left)
            last["gone"] = True
            self.gone.append(last)
            self.period, self.between = last.get("was", (self.period, self.between))
        elif name == "put_back":
            last = self.gone.pop()
            last["gone"] = False
            self.period, self.between = last.get("now", (self.period, self.between))
        else:
            self.lines.append(self._line(name, dict(values), left))

    def _clock(self, name: str) -> None:
        was = self.period, self.between
        if name.startswith("start"):
            # "Start period" ends one that is still open.
            self.period += self.between or name == "start_period"
            self.between = False
        elif name == "end_period":
            self.between = True
        now = self.period, self.between
        line = {"call": name, "gone": False}
        self.lines.append(line if now == was else {**line, "was": was, "now": now})

    def _last(self, left: int) -> dict[str, Any]:
        """What is taken back: not the clock in a period, nor a period that has been played on."""
        restarted = False
        line: dict[str, Any]
        for line in reversed([each for each in self.lines if not each["gone"]]):
            starts = line["call"] == "start_clock"
            if "was" not in line and line["call"] not in CLOCK:
                return line
            if "was" in line and not restarted:
                played = self._length(self.period) - left if starts else 0
                if played <= 600:
                    return line
            restarted = restarted or starts
        raise IndexError("nothing to take back")

    def _line(self, name: str, values: dict[str, Any], left: int) -> dict[str, Any]:
        line = {**values, "call": name, "period": self.period, "left": left, "gone": False}
        if name == "foul":
            self._foul(line)
        if name == "timeout":
            ahead = self._lending() - max(1, self.period)
            line["period"] = self._lending()
            line["left"] = self._length(line["period"]) if ahead > 0 else 0 if ahead < 0 else left
            wish, kinds = values.get("length"), list(self.rules["timeouts.kinds"])
            order = sorted(kinds, key=lambda kind: kind != wish)
            had = [kind for kind in order if self.timeouts_left(values["team"], 0, kind) > 0]
            line["kind"] = (had or order)[0]
        return line

    def _foul(self, line: dict[str, Any]) -> None:
        """The period in which a foul counts, and whose it is if the player was out before it."""
        rules = self.rules
        if self.between and rules["fouls.interval_counts_next"]:
            line["period"] += 1
            line["left"] = self._length(line["period"])
        player = line.get("on", "player") == "player" and line.get("number")
        if player and rules["fouls.after_out"] != "player" and self.out(line["team"], player):
            line["on"] = rules["fouls.after_out"]
            common = rules["fouls.kinds"][line.get("foul", "personal")]["throws"] != "always"
            line["foul"] = "technical" if common else line["foul"]

    def out(self, team: str, number: str) -> bool:
        """Whether a player may play no more."""
        mine = [f for f in self._fouls(team) if f.get("number") == number]
        kinds = [f.get("foul", "personal") for f in mine if f.get("on", "player") == "player"]
        ejected = [
            sum(kind in rule["of"] for kind in kinds) >= rule["count"]
            for rule in self.rules["fouls.ejections"]
        ]
        return any(ejected) or self.player_fouls(team, number) >= self.rules["fouls.limit"]

    def _standing(self, *names: str) -> list[dict[str, Any]]:
        return [line for line in self.lines if line["call"] in names and not line["gone"]]

    # --- the figures ---------------------------------------------------------------------------

    def points(self, line: dict[str, Any]) -> int:
        """What a line brings."""
        if line["call"] == "shot":
            return int(self.rules["goals.throw"] if line["made"] else 0)
        return int(line["points"])

    def score(self, team: str) -> int:
        """A team's points: counted on from what the officials last said they are."""
        total = 0
        for line in self._standing("score", "shot", "set_score"):
            if line["team"] == team:
                total = self.points(line) + (0 if line["call"] == "set_score" else total)
        return total

    def player_points(self, team: str, number: str) -> int:
        """A player's points."""
        lines = self._standing("score", "shot")
        mine = [line for line in lines if (line["team"], line.get("number")) == (team, number)]
        return sum(self.points(line) for line in mine)

    def _fouls(self, team: str) -> list[dict[str, Any]]:
        return [line for line in self._standing("foul") if line["team"] == team]

    def player_fouls(self, team: str, number: str) -> int:
        """Fouls that count on a player."""
        mine = [f for f in self._fouls(team) if f.get("on", "player") == "player"]
        kinds = self.rules["fouls.kinds"]
        counted = [f for f in mine if kinds[f.get("foul", "personal")]["player"]]
        return sum(f.get("number") == number for f in counted)

    def _counted_in(self, period: int) -> int:
        count = int(self.rules["periods.count"])
        carried = period > count and self.rules["fouls.overtime_counts_last"]
        return count if carried else period

    def _stretch(self, period: int) -> int:
        """A number that is the same for all periods of one stretch of the penalty."""
        period = self._counted_in(period)
        over = self.rules["penalty.over"]
        if over == "half":
            return int(period > self.rules["periods.half_after"])
        return period if over == "period" else 0

    def team_fouls(self, team: str, last_s: int = 0) -> int:
        """Team fouls that count towards the penalty now, or those of the last seconds."""
        now = self._stretch(max(1, self.period))
        total = 0
        for foul in self._fouls(team):
            if foul.get("on", "player") not in self.rules["fouls.counted_on"]:
                continue
            if last_s and foul["left"] > 10 * last_s:
                continue
            if self._stretch(max(1, foul["period"])) == now:
                total += self.rules["fouls.kinds"][foul.get("foul", "personal")]["team"]
        return total

    def penalty(self, team: str, left: int) -> str:
        """What the team's next common foul brings."""
        overtime = self.period > self.rules["periods.count"]
        tiers = (overtime and self.rules["penalty.overtime_tiers"]) or self.rules["penalty.tiers"]
        for late in (0, 1):
            reached = [
                tier
                for tier in tiers
                if bool(tier.get("last_s")) == bool(late)
                and not (late and left > 10 * tier["last_s"])
                and self.team_fouls(team, tier.get("last_s", 0)) + 1 >= tier["at"]
            ]
            if reached:
                return str(max(reached, key=lambda tier: int(tier["at"]))["award"])
        return "none"

    def timeouts_left(self, team: str, left: int, kind: str | None = None) -> int:
        """Time-outs in a team's purse: filled, emptied, cut and spent as the game goes along.

        Of one kind, the limits that cut the purse are not looked at.
        """
        rules, now, total = self.rules, self._lending(), 0
        mine = [a for a in rules["timeouts.allotments"] if kind in (None, a["kind"])]
        carried = any(allotment.get("carries") for allotment in mine)
        for period in range(1, now + 1):
            begun = [a for a in mine if period in self._begins(a["per"], now)]
            if not carried and (begun or period == rules["periods.count"] + 1):
                total = 0
            total += sum(allotment["count"] for allotment in begun)
            moments = [
                (-t["left"], 1, 0)
                for t in self._standing("timeout")
                if t["team"] == team and t["period"] == period and kind in (None, t["kind"])
            ]
            for limit in rules["timeouts.limits"] if kind is None else ():
                at = 10 * limit.get("last_s", rules["periods.length_s"])
                over = period < now or self.between or self._waits()
                if limit["period"] == period and (over or left <= at):
                    moments.append((-at, 0, limit["count"]))
            if self.period < period == now:
                moments = [moment for moment in moments if moment[0] <= -self._length(now)]
            for _, spent, most in sorted(moments):
                total = total - 1 if spent else min(total, most)
        return total

    def _begins(self, per: str, now: int) -> list[int]:
        """The periods with which the stretches of that name begin."""
        count, half = self.rules["periods.count"], self.rules["periods.half_after"]
        every, extra = list(range(1, count + 1)), list(range(count + 1, now + 1))
        halves = {"half": [1, half + 1], "first-half": [1], "second-half": [half + 1]}
        return {**halves, "game": [1], "period": every, "overtime": extra}[per]

    def _length(self, period: int) -> int:
        over = period > self.rules["periods.count"]
        return int(10 * self.rules["periods.overtime_s" if over else "periods.length_s"])

    def _waits(self) -> bool:
        """Whether an overtime has been begun and its clock has not run yet."""
        if self.between or self.period <= self.rules["periods.count"]:
            return False
        turns = ("start_clock", "end_period", "start_period")
        last = [line["call"] for line in self.lines if not line["gone"] and line["call"] in turns]
        return last[-1:] != ["start_clock"]

    def _lending(self) -> int:
        """The period whose time-outs are to be had now: an overtime's once its clock has run."""
        if self._waits():
            return self.period - 1
        return max(1, self.period + (self.between and self.period < self.rules["periods.count"]))
