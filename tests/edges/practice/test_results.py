"""Results of practices, kept and read again."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from callout.edges.practice.results import keep, kept, results_file
from callout.errors import InputError
from callout.practice.report import Report, Tally

DONE = Report(1_700_000_000_000, 2, "fast", 0.5, Tally(3, 1, 1, 1, 1), {"goal": Tally(3, 1)}, 1,
              900, 2_400, (("goal", 1),), {"goal": {"team": 1}})  # fmt: skip


def test_what_is_kept_is_read_again_in_the_order_of_time(tmp_path: Path) -> None:
    path = tmp_path / "new" / "practice.jsonl"
    later = replace(DONE, at_ms=DONE.at_ms + 1, median_ms=None, p90_ms=None)
    keep(later, path)
    keep(DONE, path)
    assert kept(path) == [DONE, later]


def test_only_the_user_may_read_them(tmp_path: Path) -> None:
    path = tmp_path / "new" / "practice.jsonl"
    keep(DONE, path)
    assert path.stat().st_mode & 0o777 == 0o600
    assert path.parent.stat().st_mode & 0o777 == 0o700
    path.chmod(0o644)
    keep(DONE, path)
    assert path.stat().st_mode & 0o777 == 0o600


def test_a_line_is_json_without_a_name(tmp_path: Path) -> None:
    keep(DONE, tmp_path / "p")
    line = json.loads((tmp_path / "p").read_text())
    assert (line["level"], line["whole"]["right"]) == (2, 3)
    assert "Kites" not in (tmp_path / "p").read_text()


@pytest.mark.parametrize(
    "line",
    ["{", "[]", '{"at_ms": 1}', "null", '"x"', "NaN", "[" * 5_000,
     json.dumps({"at_ms": 10**30})],
)  # fmt: skip
def test_a_damaged_line_is_told_and_left_out(
    tmp_path: Path, line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "p"
    keep(DONE, path)
    with path.open("a", encoding="utf-8") as file:
        file.write(f"{line}\n")
    keep(DONE, path)
    assert kept(path) == [DONE, DONE]
    assert f"{path}:2: expected a result" in capsys.readouterr().err


def test_other_bytes_spoil_no_other_line(tmp_path: Path) -> None:
    (tmp_path / "p").write_bytes(b"\xff\xfe\n")
    keep(DONE, tmp_path / "p")
    assert kept(tmp_path / "p") == [DONE]


def test_a_practice_of_all_kinds_is_read_again(tmp_path: Path) -> None:
    kinds = {f"a kind of call {nth}": Tally(10, 10, 10, 10, 10) for nth in range(60)}
    long = replace(DONE, kinds=kinds)
    keep(long, tmp_path / "p")
    assert kept(tmp_path / "p") == [long]


def test_a_moment_that_is_no_date_is_left_out(tmp_path: Path) -> None:
    keep(replace(DONE, at_ms=10**18), tmp_path / "p")
    keep(replace(DONE, at_ms=-1), tmp_path / "p")
    assert kept(tmp_path / "p") == []


def test_nothing_kept_is_no_error_and_a_folder_is_one(tmp_path: Path) -> None:
    assert kept(tmp_path / "none") == []
    with pytest.raises(InputError, match="cannot be written"):
        keep(DONE, tmp_path)


def test_they_lie_in_the_users_own_data() -> None:
    assert results_file().name == "practice.jsonl"
    assert "callout" in results_file().parts
