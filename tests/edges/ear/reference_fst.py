"""A process of its own that reads a grammar file with kaldifst; started by test_acceptor.

Arguments: the grammar file, and a JSON file with `unknown` (a label) and `sentences` (labels). It
prints the loops that the file has around the calls, and two minimal acceptors in a form that does
not depend on the numbering of states: the file's without those loops, and the sentences'.
"""

from __future__ import annotations

import json
import sys
from math import inf
from pathlib import Path
from typing import Any

import kaldifst


def states(fst: Any) -> list[tuple[float, list[tuple[int, int, float, int]]]]:
    """Of each state its final weight, and its arcs: labels in and out, weight, next state."""
    return [
        (
            fst.final(state).value,
            [(a.ilabel, a.olabel, a.weight.value, a.nextstate)
             for a in kaldifst.ArcIterator(fst, state)],
        )
        for state in kaldifst.StateIterator(fst)
    ]  # fmt: skip


def minimal(rows: list[tuple[bool, list[tuple[int, int]]]]) -> list[Any]:
    """The minimal acceptor of states (final, arcs of label and next state), by kaldifst."""
    fst = kaldifst.StdVectorFst()
    for _ in rows:
        fst.add_state()
    fst.start = 0
    for state, (final, arcs) in enumerate(rows):
        for label, to in arcs:
            fst.add_arc(state, kaldifst.StdArc(label, label, 0.0, to))
        if final:
            fst.set_final(state, 0.0)
    fst = kaldifst.determinize(fst)
    kaldifst.minimize(fst)
    read = states(fst)
    numbers, order, canonical = {fst.start: 0}, [fst.start], []
    for state in order:
        final, arcs = read[state]
        row = []
        for label, _, _, to in sorted(arcs):
            if to not in numbers:
                numbers[to] = len(numbers)
                order.append(to)
            row.append([label, numbers[to]])
        canonical.append([final == 0.0, row])
    return canonical


def tree(sentences: list[list[int]]) -> list[tuple[bool, list[tuple[int, int]]]]:
    """The sentences as a tree of states."""
    rows: list[tuple[bool, dict[int, int]]] = [(False, {})]
    for sentence in sentences:
        state = 0
        for label in sentence:
            if label not in rows[state][1]:
                rows[state][1][label] = len(rows)
                rows.append((False, {}))
            state = rows[state][1][label]
        rows[state] = (True, rows[state][1])
    return [(final, list(arcs.items())) for final, arcs in rows]


def main(grammar: str, wanted: str) -> None:
    """Read, compare, print."""
    given = json.loads(Path(wanted).read_text(encoding="utf-8"))
    fst = kaldifst.StdVectorFst.read(grammar)
    read, unknown = states(fst), given["unknown"]
    loops = [[s, i, o, w, to] for s, (_, arcs) in enumerate(read) for i, o, w, to in arcs
             if i in (0, unknown)]  # fmt: skip
    plain = [(final < inf and state != fst.start,
              [(i, to) for i, o, _, to in arcs if i == o and i not in (0, unknown)])
             for state, (final, arcs) in enumerate(read)]  # fmt: skip
    # A word at another cost is another word, an end is a word to a state of its own: so states
    # that differ in costs alone stay two.
    end = len(read)
    priced = [(False,
               [(1_000 * i + round(100 * w), to) for i, o, w, to in arcs
                if i == o and i not in (0, unknown)]
               + ([(1 + round(100 * final), end)] if final < inf and state != fst.start else []))
              for state, (final, arcs) in enumerate(read)] + [(True, [])]  # fmt: skip
    told = {
        "start": fst.start,
        "start_final": read[fst.start][0],
        "finals": [[state, final] for state, (final, _) in enumerate(read) if final < inf],
        "sorted": all(arcs == sorted(arcs) for _, arcs in read),
        "loops": loops,
        "symbols": {label: fst.input_symbols.find(label)
                    for _, arcs in read for label, *_ in arcs},
        "file": minimal(plain),
        "states": len(minimal(priced)) - 1,
        "sentences": minimal(tree(given["sentences"])),
    }  # fmt: skip
    print(json.dumps(told))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
