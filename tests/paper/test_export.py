"""The exports, read by other people's readers: jsonschema, and pandas with its own arithmetic."""

from __future__ import annotations

import csv
import io
import json
from functools import cache
from random import Random

import pandas
import pytest
from jsonschema import Draft202012Validator

from callout.game.calls import CALLS, Foul, Number, Score, SetScore, Shot, Timeout, Undo
from callout.game.figures.score import score
from callout.game.profile.file import load_profile, profile_names
from callout.game.state import Owner
from callout.game.terms import Team
from callout.paper.export import FORMULA, SCHEMA, TABLES, Recorded, csv_tables, game_json, json_line
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from callout.table.view import view
from tests.game.play import FOXES, GUEST, HOME, KITES, Play
from tests.game.test_oracle import random_call

VALIDATOR = Draft202012Validator(json.loads(SCHEMA.read_text(encoding="utf-8")))
CALLS_A_GAME = 80


def recorded(play: Play, name: str = "tuesday", kites: str = "Harbour Kites") -> Recorded:
    """A game that was played by hand, as its file would give it."""
    home = Listed(kites, tuple(Player(n, "Ada Moss") for n in KITES))
    guest = Listed("Quarry Foxes", tuple(Player(n) for n in FOXES))
    setup = Setup(play.game.profile.name, home, guest, play.game.owner)
    left = play.at().left_tenths
    return Recorded(name, setup, play.game, tuple(play.entries), left, "1f2e-0a9b")


@cache
def random_game(profile: str, seed: int) -> Recorded:
    """A game of random calls, numbers that are on no list among them."""
    random, rules = Random(seed), load_profile(profile)
    play = Play(rules, random.choice(list(Owner))).start()
    for _ in range(CALLS_A_GAME):
        name, values = random_call(random, rules)
        if "number" in values and random.random() < 0.1:
            values = {**values, "number": "99"}
        play.wait(random.choice((1, 5, 40))).call(CALLS.load(name, values))
    return recorded(play, f"{profile}-{seed}")


def tables(*games: Recorded) -> dict[str, pandas.DataFrame]:
    """The tables as pandas reads them; shirts stay text, for 0 and 00 are two players."""
    shirts = {"number": str, "said": str}
    return {
        name: pandas.read_csv(io.StringIO(text), dtype=shirts)
        for name, text in csv_tables(games).items()
    }


@pytest.mark.parametrize("profile", profile_names())
def test_the_json_is_as_its_schema_says(profile: str) -> None:
    for seed in range(3):
        VALIDATOR.validate(json.loads(json_line(random_game(profile, seed))))


def test_the_schema_sees_what_is_wrong() -> None:
    VALIDATOR.check_schema(VALIDATOR.schema)
    good = game_json(random_game("fiba-2022", 1))
    assert VALIDATOR.is_valid(good)
    for spoiled in (
        {**good, "version": 2},
        {**good, "names": []},
        {**good, "book": {**good["book"], "score": {"home": "3", "guest": 0}}},
        {**good, "lines": [{**good["lines"][0], "kind": "goal"}]},
        {**good, "entries": [{**good["entries"][0], "time": "yesterday"}]},
    ):
        assert not VALIDATOR.is_valid(spoiled)


@pytest.mark.parametrize("profile", profile_names())
def test_pandas_gets_the_same_book_from_the_lines_alone(profile: str) -> None:
    games = [random_game(profile, seed) for seed in range(3)]
    lines = tables(*games)["lines"]
    for each in games:
        mine = lines[lines["game"] == each.name]
        seen = view(each.game, each.left_tenths)
        for team in Team:
            ours = mine[mine["team"] == team.value]
            assert ours["points"].sum() == seen["score"][team.value]
            by_period = ours.groupby("period")["points"].sum()
            for period, points in enumerate(seen["by_period"], start=1):
                assert by_period.get(period, 0) == points[team.value]
            for number, player in seen["players"][team.value].items():
                of = ours[ours["number"] == number]
                goals = of[of["kind"].isin(["field goal", "free throw"])]
                assert goals["points"].sum() == player["points"]
                assert (goals["made"] == "no").sum() == player["missed_1"]
                for worth in (1, 2, 3):
                    scored = goals[(goals["made"] == "yes") & (goals["points"] == worth)]
                    assert len(scored) == player["made"][str(worth)]
                fouls = of[(of["kind"] == "foul") & (of["on"] == "player")]
                codes = [code for code in player["foul_codes"] if code != "GD"]
                assert len(fouls) == len(codes)


@pytest.mark.parametrize("profile", profile_names())
def test_players_and_nobody_add_up_to_the_score_and_to_the_periods(profile: str) -> None:
    games = [random_game(profile, seed) for seed in range(3)]
    made = tables(*games)
    for each in games:
        for team in Team:
            final = score(each.game, team)
            for name in ("players", "periods"):
                table = made[name]
                own = table[(table["game"] == each.name) & (table["team"] == team.value)]
                assert own["points"].sum() == final, (name, each.name)


def test_a_small_game_counted_by_hand() -> None:
    play = Play(load_profile("nfhs-2026")).start()
    play.take(Score(HOME, 2, "5"), Score(HOME, 3, "5"), Score(GUEST, 2), Foul(GUEST, "14"))
    play.take(Shot(True, HOME, "4"), Shot(False, HOME, "4"), SetScore(HOME, 7), Timeout(HOME))
    play.take(Score(GUEST, 2, "8"), Undo())
    texts = csv_tables([recorded(play)])
    made = {name: list(csv.DictReader(io.StringIO(text))) for name, text in texts.items()}
    players = {(row["team"], row["number"]): row for row in made["players"]}
    five = players["home", "5"]
    assert (five["points"], five["made_3"], five["made_2"], five["fouls"]) == ("5", "1", "1", "0")
    assert players["home", "4"]["missed_1"] == "1"
    assert players["guest", "14"]["foul_codes"] == "P"
    assert players["home", ""]["points"] == "1"
    assert players["guest", ""]["points"] == "2"
    assert [row["points"] for row in made["periods"]] == ["7", "2"]
    assert [row["timeouts"] for row in made["periods"]] == ["1", "0"]
    kinds = ["field goal"] * 3 + ["foul"] + ["free throw"] * 2 + ["adjustment", "timeout"]
    assert [row["kind"] for row in made["lines"]] == kinds
    taken_back = [row["taken_back"] for row in made["entries"]]
    assert taken_back == ["no"] * 9 + ["yes", "no"]


def test_a_correction_shows_in_the_lines_and_both_calls_in_the_entries() -> None:
    play = Play(load_profile("nfhs-2026")).start().take(Score(HOME, 2), Number("5"))
    made = csv_tables([recorded(play)])
    (line,) = csv.DictReader(io.StringIO(made["lines"]))
    assert line["number"] == "5"
    calls = [row["call"] for row in csv.DictReader(io.StringIO(made["entries"]))]
    assert calls == ["start_clock", "score", "number"]


def test_no_name_of_a_person_is_in_them() -> None:
    game = random_game("nfhs-2026", 4)
    assert "Ada" in str(game.setup)
    assert "Ada" not in json_line(game)
    assert "Ada" not in "".join(csv_tables([game]).values())


@pytest.mark.parametrize("begins", FORMULA)
def test_no_cell_is_computed_by_a_spreadsheet(begins: str) -> None:
    """Source: OWASP, CSV injection (from memory)."""
    play = Play(load_profile("nfhs-2026")).start().take(Score(HOME, 2, "5"))
    for text in csv_tables([recorded(play, f"{begins}1+1")]).values():
        cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
        assert not [cell for cell in cells if cell.startswith(FORMULA)]


def test_every_row_has_its_table_s_columns_alone() -> None:
    made = tables(random_game("fiba-2022", 2), random_game("nba-2026", 2))
    for name, columns in TABLES.items():
        assert tuple(made[name].columns) == columns
        assert set(made[name]["game"]) == {"fiba-2022-2", "nba-2026-2"}


def test_without_a_clock_no_line_has_a_time() -> None:
    play = Play(load_profile("youth-6-minute"), Owner.NONE)
    play.start().take(Score(HOME, 2, "5"))
    assert tables(recorded(play))["lines"]["clock_tenths"].isna().all()
