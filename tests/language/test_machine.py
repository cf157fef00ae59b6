"""Templates as a machine. Source of the notation: hassil's template reader."""

from __future__ import annotations

import pytest
from hassil.expression import RuleReference
from hypothesis import given
from hypothesis import strategies as st

from callout.language.choices import choices_of
from callout.language.machine import (
    Builder,
    Lists,
    Machine,
    TemplateError,
    follow,
    parse_template,
    slot_sets,
    slots_of,
    tagged,
    words_of_text,
)


class Colours(Lists):
    """Two colours for any list."""

    def add(self, machine: Machine, start: int, name: str, slot: str) -> int:
        choices = [(("light", "red"), "red", 0.0), (("light", "blue"), "blue", 2.0)]
        return machine.choices(start, slot, choices_of(choices))


def sentences(template: str) -> set[str]:
    """Every sentence of a template, found by walking all paths."""
    machine = Machine()
    end = Builder(machine).add(0, parse_template(template), Colours())
    found: set[str] = set()
    todo: list[tuple[int, tuple[str, ...]]] = [(0, ())]
    while todo:
        state, words = todo.pop()
        if end in follow(machine, (state,)):
            found.add(" ".join(words))
        for at in follow(machine, (state,)):
            todo += [(to, (*words, word)) for word, to, _ in machine.words[at]]
    return found


@pytest.mark.parametrize(
    ("template", "expected"),
    [
        ("Stop  Clock", {"stop clock"}),
        ("(stop|hold) [the] clock",
         {"stop clock", "hold clock", "stop the clock", "hold the clock"}),
        ("go [[very] fast]", {"go", "go fast", "go very fast"}),
        ("paint {colour}", {"paint light red", "paint light blue"}),
        ("(a;b)", {"a b", "b a"}),
    ],
)  # fmt: skip
def test_a_template_has_these_sentences(template: str, expected: set[str]) -> None:
    assert sentences(template) == expected


def test_phrases_share_their_beginning() -> None:
    machine = Machine()
    Colours().add(machine, 0, "colour", "colour")
    assert [word for word, _, _ in machine.words[0]] == ["light"]


def test_a_value_and_its_cost_hang_on_the_last_word() -> None:
    machine = Machine()
    end = Colours().add(machine, 0, "colour", "shade")
    ((_, shared, cost),) = machine.words[0]
    assert cost == 0.0
    assert {(word, c) for word, _, c in machine.words[shared]} == {("red", 0.0), ("blue", 2.0)}
    values = {tags for _, to, _ in machine.words[shared] for at, tags in tagged(machine, to)
              if at == end}  # fmt: skip
    assert values == {(("shade", "red"),), (("shade", "blue"),)}


@pytest.mark.parametrize("template", ["{team", "[open", "(a|b", "", "  "])
def test_a_template_that_cannot_be_read_is_quoted(template: str) -> None:
    with pytest.raises(TemplateError, match="expected a template, got"):
        parse_template(template)


@pytest.mark.parametrize(
    "template", ["foul[s]", "{team}s", "({a}|b)(c|d)", "{a}{b}", "[very ]fast", "re[start]"]
)
def test_a_bracket_that_touches_a_word_is_refused(template: str) -> None:
    with pytest.raises(TemplateError, match="expected a space between words and groups"):
        parse_template(template)


@given(st.text(alphabet="{}[]()<>|;:/\\.-0 ab", max_size=14))
def test_any_text_is_a_template_or_refused(text: str) -> None:
    machine = Machine()
    try:
        end = Builder(machine).add(0, parse_template(text), Colours())
    except TemplateError:
        return
    assert any(end in follow(machine, (state,)) for state in range(len(machine.words)))


@pytest.mark.parametrize(
    ("template", "expected"),
    [
        ("stop clock", {()}),
        ("{team} [number {number}]", {("team",), ("number", "team")}),
        ("({a}|{b}) {a}", {("a", "a"), ("a", "b")}),
        ("([{a}];{b:x}) now", {("x",), ("a", "x")}),
    ],
)
def test_each_way_through_a_template_gives_these_slots(
    template: str, expected: set[tuple[str, ...]]
) -> None:
    assert slot_sets(parse_template(template)) == expected


def test_the_words_of_a_template_itself() -> None:
    assert words_of_text(parse_template("Set (the|a) clock [{time}]")) == {
        "set", "the", "a", "clock",
    }  # fmt: skip


def test_rules_are_not_part_of_the_notation() -> None:
    with pytest.raises(TemplateError, match="expected words, slots and groups, got a RuleRef"):
        parse_template("<rule> now")
    with pytest.raises(TemplateError, match="expected words, slots and groups"):
        Builder(Machine()).add(0, RuleReference("rule"), Colours())


def test_the_lists_of_a_template_are_named_in_order() -> None:
    assert slots_of(parse_template("{team} [number {number:in}]")) == [
        ("team", "team"),
        ("number", "in"),
    ]


def deep(count: int) -> str:
    """A word within so many groups."""
    return "[" * count + "a" + "]" * count


@pytest.mark.parametrize(
    ("template", "says"),
    [
        ("a " * 150 + "b", "expected at most 300 characters, got 301"),
        (deep(21), "expected groups at most 20 deep"),
        ("(a;b;c;d;e;f;g;h;i;j)", "expected fewer ways to say it"),
        ("(a;(b;(c;(d;(e;(f;(g;(h;(i;j)))))))))", "expected fewer ways to say it"),
        ("[{a:b}] " * 7, "expected fewer ways to say it"),
        ("([{a}];[{b}];[{c}];[{d}];[{e}];[{f}];[{g}])", "expected fewer ways to say it"),
    ],
)
def test_a_template_without_end_is_refused(template: str, says: str) -> None:
    with pytest.raises(TemplateError, match=says):
        parse_template(template)


@pytest.mark.parametrize(
    "template", [deep(20), "a " * 150, "(a;b;c;d)", "[{a:b}] " * 6, "[a] " * 70]
)
def test_a_long_template_may_be_meant(template: str) -> None:
    tree = parse_template(template)
    machine = Machine()
    Builder(machine).add(0, tree, Colours())
    assert slot_sets(tree)
    assert len(machine.words) > 1
