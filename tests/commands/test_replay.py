"""`callout replay`: scripts checked, games shown again."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from callout.commands.replay import replay
from callout.errors import CalloutError

GAMES = Path(__file__).parent.parent / "games"
KEYS = {
    "file", "ok", "profile", "phase", "period", "clock_tenths", "clock_running", "score",
    "by_period", "team_fouls", "penalty", "timeouts_used", "timeouts_left", "arrow", "players",
    "open", "unlisted", "team_points", "adjusted", "approved", "signed", "coach_fouls",
    "bench_fouls", "on_court", "first_worn", "forfeit", "entries", "undone", "notices", "refusals",
}  # fmt: skip


def test_the_demo_is_as_expected_and_its_journal_tells_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game = tmp_path / "game"
    assert replay([GAMES / "demo.game"], as_json=True, keep=game) == 0
    first = json.loads(capsys.readouterr().out)
    assert set(first) == KEYS
    assert replay([game], as_json=True) == 0
    again = json.loads(capsys.readouterr().out)
    assert {**first, "file": ""} == {**again, "file": ""}
    # Added up by hand from the script.
    assert first["by_period"] == [
        {"home": 15, "guest": 14},
        {"home": 11, "guest": 12},
        {"home": 13, "guest": 13},
        {"home": 11, "guest": 11},
        {"home": 7, "guest": 5},
    ]
    assert first["score"] == {"home": 57, "guest": 55}


def test_a_difference_is_status_1_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    script = tmp_path / "wrong.game"
    script.write_text(
        "profile: nfhs-2026\nhome: Kites | 4\nguest: Foxes | 8\n\n"
        "8:00 start clock\n7:00 home two number four\n== score 3 0\n",
        encoding="utf-8",
    )
    assert replay([script]) == 1
    told = capsys.readouterr()
    assert told.err == f"{script}:7: expected score '3 0', got '2 0'\n"
    assert "NOT as expected" in told.out
    assert replay([script], as_json=True) == 1
    assert json.loads(capsys.readouterr().out)["ok"] is False


def test_one_script_is_kept_at_a_time(tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match="--keep: expected one script to keep, got 2"):
        replay([GAMES / "first.game"] * 2, keep=tmp_path / "game")


@pytest.mark.parametrize("name", ["[/b]", "[red]Kites", ":fire:", "{team}", "[a;b]"])
def test_names_and_paths_that_look_like_orders_to_the_printer_are_printed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    folder = tmp_path / f"x{name}".replace("/", "-")
    folder.mkdir()
    script = folder / f"{name}.game".replace("/", "-")
    script.write_text(
        f"profile: nfhs-2026\nhome: {name} | 4\nguest: Foxes | 8\n\n8:00 start clock\n",
        encoding="utf-8",
    )
    assert replay([script], keep=tmp_path / "kept") == 0
    told = capsys.readouterr().out
    assert script.name in told.replace("\n", "")
    assert told.count(name) >= 2
    assert replay([tmp_path / "kept"]) == 0
    assert name in capsys.readouterr().out


def test_a_team_file_is_no_script(tmp_path: Path) -> None:
    path = tmp_path / "s.setup"
    path.write_text("profile: nfhs-2026\nhome: A\nguest: B\n", encoding="utf-8")
    with pytest.raises(CalloutError, match="is a setup file, not a game"):
        replay([path])


def test_the_talk_of_a_script_is_printed_call_by_call(capsys: pytest.CaptureFixture[str]) -> None:
    assert replay([GAMES / "first.game"], talk=True) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[2] == ("  7:41  home two number five  ->  Home two, number five. Two, nothing.")
    assert "  7:20  start clock  ->  Already running." in lines


def test_what_comes_again_by_itself_is_printed_where_time_passes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    script = tmp_path / "shots.game"
    script.write_text(
        "profile: nfhs-2026\nhome: Kites | 4\nguest: Foxes | 8\n\n"
        "8:00 start clock\n7:00 stop clock\nguest foul number eight two shots\n+11s\n",
        encoding="utf-8",
    )
    assert replay([script], talk=True) == 0
    assert "  7:00  +11s  ->  Two shots, home." in capsys.readouterr().out


def test_the_talk_of_a_recorded_game_is_what_was_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game = tmp_path / "game"
    assert replay([GAMES / "first.game"], keep=game) == 0
    capsys.readouterr()
    assert replay([game], talk=True) == 0
    assert "  7:41  Home two, number five. Two, nothing." in capsys.readouterr().out


def test_a_script_is_called_in_its_own_language(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spanish = GAMES.parent / "language/es/demo.game"
    assert replay([spanish, GAMES / "first.game"], talk=True) == 0
    assert "Local dos, número cinco. Dos, cero." in capsys.readouterr().out
    script = tmp_path / "english.game"
    script.write_text(spanish.read_text("utf-8").replace("language: es\n", ""), "utf-8")
    with pytest.raises(CalloutError, match="expected a call, got 'local titular cuatro'"):
        replay([script])


def test_each_script_is_said_by_a_voice_of_its_language(monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[tuple[str, list[str]]] = []

    class Heard:
        def __init__(self, language: str) -> None:
            self.said: list[str] = []
            opened.append((language, self.said))

        def speak(self, text: str, tone: str) -> None:
            self.said.append(text)

        def close(self) -> None:
            self.said.append("closed")

    def opener(*_: object, language: str, **__: object) -> Heard:
        return Heard(language)

    monkeypatch.setattr("callout.commands.replay.open_voice", opener)
    first = GAMES / "first.game"
    assert replay([first, GAMES.parent / "language/es/demo.game", first], say=True) == 0
    assert [language for language, _ in opened] == ["en", "es"]
    assert all(said[-1] == "closed" for _, said in opened)
    assert "Local dos, número cinco. Dos, cero." in opened[1][1]


def test_talk_and_json_exclude_each_other() -> None:
    with pytest.raises(CalloutError, match="one of --talk and --json"):
        replay([GAMES / "first.game"], as_json=True, talk=True)
