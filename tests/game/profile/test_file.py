"""Profiles read from files: what is wrong is named with its file and line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.errors import InputError
from callout.game.profile.file import PROFILES, load_profile, profile_names

Write = Callable[..., Path]

HIGH_SCHOOL = (PROFILES / "nfhs-2026.toml").read_text(encoding="utf-8")


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes profiles beside the one of the high schools, which is named base."""

    def files(**texts: str) -> Path:
        for name, text in {"base": HIGH_SCHOOL, **texts}.items():
            (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
        return tmp_path

    return files


def error(folder: Path, name: str = "local") -> str:
    """The message about a profile, its folder left out."""
    with pytest.raises(InputError) as caught:
        load_profile(name, folder)
    return str(caught.value).replace(f"{folder}/", "")


def local(*lines: str) -> str:
    return "\n".join(('title = "Local"', 'edition = "2026"', 'based_on = "base"', *lines))


def test_the_programs_own_profiles_are_found_by_their_files() -> None:
    assert profile_names() == tuple(sorted(p.stem for p in PROFILES.glob("*.toml")))
    assert "nfhs-2026" in profile_names()


def test_a_local_league_is_a_few_lines(write: Write) -> None:
    folder = write(local=local("[periods]", 'length_s = { is = 300, source = "local rule" }'))
    found, base = load_profile("local", folder), load_profile("base", folder)
    assert (found.name, found.title, found.periods.length_s) == ("local", "Local", 300)
    assert found.periods.overtime_s == base.periods.overtime_s
    assert found.sources["periods.length_s"] == "local rule"
    assert found.sources["periods.count"] == base.sources["periods.count"]


def test_a_base_may_have_a_base(write: Write) -> None:
    folder = write(
        middle=local("[fouls]", 'limit = { is = 6, source = "local rule" }'),
        local=local().replace('"base"', '"middle"'),
    )
    assert load_profile("local", folder).fouls.limit == 6


def test_no_such_profile(write: Write) -> None:
    folder = write()
    message = error(folder)
    assert message == "local.toml: expected one of the profiles (base), got 'local'"


def test_no_profiles_at_all(tmp_path: Path) -> None:
    assert "(none)" in error(tmp_path)


@pytest.mark.parametrize(
    ("lines", "message"),
    [
        (
            ["[periods]", 'minutes = { is = 8, source = "x" }'],
            "local.toml:5: periods.minutes: unexpected keyword argument, got 8",
        ),
        (
            ["[periods]", "", 'count = { is = "four", source = "x" }'],
            "local.toml:6: periods.count: input should be a valid integer, unable to parse string"
            " as an integer, got 'four'",
        ),
        (
            ["[periods]", 'count = { is = 0, source = "x" }'],
            "local.toml:5: periods.count: input should be greater than or equal to 1, got 0",
        ),
        (
            ["[periods]", 'half_after = { is = 2, source = "" }'],
            'local.toml:5: periods.half_after: expected { is = …, source = "…" },'
            " got {'is': 2, 'source': ''}",
        ),
        (
            ["[periods]", "half_after = 2"],
            'local.toml:5: periods.half_after: expected { is = …, source = "…" }, got 2',
        ),
        (
            ["[weather]", 'rain = { is = 2, source = "x" }'],
            "local.toml:4: weather: unexpected keyword argument, got {'rain': 2}",
        ),
        (
            ["[penalty]", 'light = { is = "both", source = "x" }'],
            "local.toml:5: penalty.light: input should be 'receiver' or 'offender', got 'both'",
        ),
        (
            ["[fouls.kinds]", "is.personal = { player = true, team = true }", 'source = "x"'],
            "local.toml:5: fouls.kinds.personal.throws: field required, got nothing",
        ),
        (
            ["[fouls.kinds]", "is = {}", 'source = "x"'],
            "local.toml:4: fouls.kinds: expected personal, got none",
        ),
        (
            ["[timeouts]", 'kinds = { is = {}, source = "x" }'],
            "local.toml:5: timeouts.kinds: expected a kind, got none",
        ),
        (
            [
                "[periods]",
                'half_after = { is = 3, source = "x" }',
                'count = { is = 2, source = "x" }',
            ],
            "local.toml:5: periods.half_after: expected at most 2, got 3",
        ),
        (
            [
                "[timeouts]",
                'allotments = { is = [{ kind = "short", count = 1, per = "half" }], source = "x" }',
            ],
            "local.toml:5: timeouts.allotments: expected a kind in timeouts.kinds, got 'short'",
        ),
        (
            ["[roster]", 'numbers = { is = ["0-5", "seven"], source = "x" }'],
            "local.toml:5: roster.numbers: expected numbers such as 7, 00 or 10-15, got 'seven'",
        ),
        (
            ["[roster]", 'numbers = { is = ["15-10"], source = "x" }'],
            "local.toml:5: roster.numbers: expected numbers such as 7, 00 or 10-15, got '15-10'",
        ),
    ],
)
def test_what_is_wrong_is_named_with_its_line(write: Write, lines: list[str], message: str) -> None:
    assert error(write(local=local(*lines))) == message


def test_a_value_outside_any_table(write: Write) -> None:
    folder = write(local="periods = 4\n" + local())
    assert error(folder) == "local.toml:1: expected a table, got periods = 4"


def test_a_missing_value(write: Write) -> None:
    folder = write(local=HIGH_SCHOOL.replace("limit = {", "# limit = {"))
    line = HIGH_SCHOOL[: HIGH_SCHOOL.index("[fouls]")].count("\n") + 1
    assert error(folder) == f"local.toml:{line}: fouls.limit: field required, got nothing"


def test_a_missing_table(write: Write) -> None:
    folder = write(local='title = "Local"\nedition = "2026"\n')
    assert error(folder) == "local.toml:1: periods: field required, got nothing"


def test_what_is_wrong_in_the_base_is_named_there(write: Write) -> None:
    broken = HIGH_SCHOOL.replace("length_s = { is = 480", "length_s = { is = -1", 1)
    line = broken[: broken.index("length_s")].count("\n") + 1
    folder = write(base=broken, local=local("[periods]", 'count = { is = 4, source = "x" }'))
    assert error(folder).startswith(f"base.toml:{line}: periods.length_s: ")


def test_an_unknown_base_is_named_where_it_is_asked_for(write: Write) -> None:
    folder = write(local=local().replace('"base"', '"basis"'))
    assert error(folder) == "local.toml:3: expected one of the profiles (base, local), got 'basis'"


def test_a_circle_of_bases(write: Write) -> None:
    folder = write(
        local=local().replace('"base"', '"middle"'), middle=local().replace('"base"', '"local"')
    )
    what = "expected a profile that is not based on itself, got 'local'"
    assert error(folder) == f"middle.toml:3: {what}"


def test_what_is_not_toml(write: Write) -> None:
    assert error(write(local="title = \n")).startswith("local.toml:1: expected TOML: ")


def test_what_is_not_text(tmp_path: Path) -> None:
    (tmp_path / "local.toml").write_bytes(b"title = \xff")
    assert error(tmp_path).startswith("local.toml:1: expected a text file in UTF-8")


def test_a_profile_that_ends_too_soon(write: Write) -> None:
    assert error(write(local='title = "Loc')).startswith("local.toml")
