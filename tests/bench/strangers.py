"""How well the ear hears strangers, by several networks in one run.

`gather` puts what strangers say and recorded noise into a folder; `measure` hears it by each
network and writes what became of every recording; `tell` prints the tables. Strangers are people
and noise that never taught (tests/training/split.py): orders and digits of the benchmarks' people,
single words, and table calls in synthetic voices. Per cent: right in one breath; asked, with what
was said among the choices; astray, asked with it not among them; wrong; silent. Nobody answers a
question here. Reading, acting and talk give false calls an hour. Then McNemar's test of each
network against the first: how often it alone was right, how often the first alone was, and the
probability that this is chance; for right in one breath, then for right or asked. `--beside` hears
the table calls by other recognizers, too, which never ask.
"""

from __future__ import annotations

import argparse
import json
import shutil
import tempfile
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
from earlab import strangers
from earlab.chance import mcnemar
from earlab.games import moment_for
from earlab.items import ROSTERS, Item
from earlab.ours import Hall, asked_for, means
from earlab.peers import PEERS, peers
from earlab.reliability import Pairs, calibration_error
from earlab.strangers import WORDS, Case

from callout.commands.hear import scope_of
from callout.edges.ear.hall_change import adapted, read_change
from callout.edges.ear.listening import FILE_PATIENCE_S, OpenEar
from callout.edges.ear.messages import Utterance
from callout.edges.ear.options import Options
from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import RATE_HZ
from callout.edges.ear.spoken_calls import understand
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.models.folder import NETWORK
from callout.edges.voice.tones import Sound
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.language.parser import Parsed, Parser
from callout.language.scope import Sentences
from callout.table.talk.dialogue import Dialogue

HERE: Final = Path(__file__).parent
RATIOS: Final = (None, 18.0, 12.0, 6.0)
READ_AT: Final = (None, 12.0)
LOOSER: Final = (0.0, -1.0, 1.0, 2.0, 3.0, 4.0, 6.0)
"""By so much less than now a call may have to score: another network has other scores."""
OUTCOMES: Final = ("right", "asked", "astray", "wrong", "silent")
KINDS: Final = ("orders", "digits", "words", "calls", "reading")

Rows = list[tuple[str, str, str, str, float, Pairs]]
"""Kind, level, who and what, what becomes of it for each of `LOOSER`, how many seconds it lasts. Of
each table call heard in it: how likely it was said to be, and whether it is right."""


class Stranger:
    """The project's ear with one network, for all kinds of recordings."""

    def __init__(self, change: Path | None, folder: Path) -> None:
        """By the network as it is published, or with that change."""
        model = changed_model(change, folder / "model")
        self._models = Models(model, folder / "private", Options(in_hall=False))
        self._parsers: dict[str, Parser] = {}
        others = (("orders", HERE / "orders", Sentences.CALLS), ("words", WORDS, Sentences.BOTH))
        for kind, language, which in others:
            grammar = load_language(language)
            scope = replace(scope_of(grammar, None), rosters=dict.fromkeys(Team, ()))
            self._parsers[kind] = Parser(grammar, scope, which)
        grammar = load_language(language_folder())
        scope = replace(scope_of(grammar, None), rosters=ROSTERS)
        self._parsers["calls"] = self._parsers["reading"] = Parser(grammar, scope)
        self._parsers["digits"] = Parser(grammar, scope, Sentences.BOTH)
        for kind, parser in self._parsers.items():
            self._models.use(kind, parser.network)

    def outcome(self, case: Case, hall: Hall, sound: Sound) -> tuple[str, Pairs]:
        """What becomes of a recording in a hall, for each of `LOOSER`; and the last of `Rows`."""
        ear = OpenEar(self._models, case.kind, FILE_PATIENCE_S)
        samples = hall.around(sound)
        parser = self._parsers[case.kind]
        prior = self._prior(case, hall.seed)
        told = [*ear.feed(samples), *ear.flush()]
        became = "/".join(self._taken(case, told, parser, prior, by) for by in LOOSER)
        if case.kind != "calls":
            return became, []
        item = Item(Path(case.name), case.slots, case.call)
        heard = [each for one in told for each in understand(parser, one, *prior) if each.meanings]
        pairs = [(each.certainty, means(item, [each.meanings[0].sentence])) for each in heard]
        return became, pairs

    def _taken(
        self, case: Case, told: Sequence[Utterance], parser: Parser, prior: tuple[Any, ...],
        looser: float,
    ) -> str:  # fmt: skip
        """What becomes of it if a call has to score so much less."""
        heard = [
            each
            for one in told
            for each in understand(parser, _loosened(one, looser), *prior)
            if each.sentence is not None
        ]
        if case.kind == "reading":
            return str(len(heard))
        item = Item(Path(case.name), case.slots, case.call)
        choices = [choice.sentence for each in heard for choice in each.choices]
        if not choices:
            booked = [each.sentence for each in heard if each.sentence]
            return "silent" if not booked else "right" if means(item, booked) else "wrong"
        return "asked" if any(means(item, [choice]) for choice in choices) else "astray"

    def _prior(self, case: Case, seed: int) -> tuple[Any, ...]:
        if case.kind not in ("calls", "digits", "reading"):
            return ()
        # "Number five" is a call where the table asks nothing.
        parser = self._parsers["digits" if case.kind == "digits" else "calls"]
        result = parser.parse(case.text.split()) if case.text else None
        call = result.calls[0] if isinstance(result, Parsed) else None
        moment = moment_for(call, self._parsers["calls"], seed)
        if case.kind == "digits":
            return (moment.prior(asked_for(Item(Path(case.name), case.slots), seed)),)
        return (moment.prior(Dialogue()),)


class Beside:
    """Another recognizer, for table calls alone."""

    def __init__(self, name: str) -> None:
        grammar = load_language(language_folder())
        scope = replace(scope_of(grammar, None), rosters=ROSTERS)
        (self._peer,) = peers(Parser(grammar, scope), replace(scope, legal=()), (name,))

    def outcome(self, case: Case, hall: Hall, sound: Sound) -> tuple[str, Pairs]:
        """What becomes of a recording in a hall, the same for each of `LOOSER`."""
        booked = self._peer.hear(hall.around(sound))
        right = means(Item(Path(case.name), case.slots, case.call), booked)
        became = "right" if right else "wrong" if booked else "silent"
        return "/".join([became] * len(LOOSER)), []


def _loosened(utterance: Utterance, by: float) -> Utterance:
    calls = (replace(call, margin=call.margin + by) for call in utterance.calls)
    return replace(utterance, calls=tuple(calls))


def changed_model(change: Path | None, folder: Path) -> Path:
    """The recognizer's model with a change of its network built in."""
    model = find_model(RECOGNIZER)
    if change is None:
        return model
    shutil.copytree(model, folder)
    made = adapted((model / NETWORK).read_bytes(), read_change(change))
    (folder / NETWORK).write_bytes(made)
    return folder


def hear(name: str, path: str, share: slice, given: argparse.Namespace) -> Rows:
    """What becomes of a share of the recordings, at every level."""
    cases, whole, beds = strangers.read(given.folder)
    rows: Rows = []
    with tempfile.TemporaryDirectory() as private:
        beside = name in given.beside
        ear = Beside(name) if beside else Stranger(Path(path) if path else None, Path(private))
        # In any order, so that one that stops early has measured something of all kinds.
        for at in np.random.default_rng(1).permutation(len(cases)).tolist()[share]:
            case = cases[at]
            kinds = ("calls",) if beside else given.kinds
            if case.kind not in kinds or time.time() > given.until:
                continue
            sound = whole[case.begin : case.end]
            for ratio in RATIOS if case.kind != "reading" else READ_AT:
                # Each level falls into another kind of noise, each network into the same.
                bed = beds[(at + int(ratio or 0) // 6) % len(beds)]
                result, pairs = ear.outcome(case, Hall(bed, ratio, 7 * at + 1), sound)
                level = "clean" if ratio is None else f"{ratio:g} dB"
                seconds = len(sound) / RATE_HZ
                said = f"{case.who}|{case.name}|{at}"
                rows.append((case.kind, level, said, result, seconds, pairs))
    return rows


def measure(given: argparse.Namespace) -> None:
    """Hear everything by every network."""
    given.until = time.time() + given.seconds
    names = [name.partition("=")[::2] for name in given.networks]
    names += [(name, "") for name in given.beside]
    each = max(1, given.jobs // len(names))
    with ProcessPoolExecutor(given.jobs) as pool:
        work = {
            (name, at): pool.submit(hear, name, path, slice(at, None, each), given)
            for name, path in names
            for at in range(each)
        }
        made: dict[str, Rows] = {}
        for (name, _), rows in work.items():
            made[name] = made.get(name, []) + rows.result()
    given.out.write_text(json.dumps(made), encoding="utf-8")


def tell(files: Sequence[Path], looser: float) -> None:
    """Print the tables of what was measured; of several files as of one run."""
    at = LOOSER.index(looser)
    made: dict[str, Rows] = {}
    for path in files:
        for name, rows in json.loads(path.read_text(encoding="utf-8")).items():
            made[name] = made.get(name, []) + rows
    tables = {
        name: {(kind, level, said): Became(became.split("/")[at], seconds, pairs)
               for kind, level, said, became, seconds, pairs in rows}
        for name, rows in made.items()
    }  # fmt: skip
    for kind in KINDS:
        heard = {n: table for n, table in tables.items() if any(key[0] == kind for key in table)}
        common = set.intersection(*(set(table) for table in heard.values())) if heard else set()
        for level in ("clean", "18 dB", "12 dB", "6 dB"):
            keys = sorted(key for key in common if key[:2] == (kind, level))
            if keys:
                print(f"\n{kind}, {level}: {len(keys)} recordings")
                (_false_calls if kind == "reading" else _shares)(heard, keys)


class Became(NamedTuple):
    """What became of a recording."""

    outcome: str
    seconds: float
    pairs: Pairs


Tables = Mapping[str, Mapping[tuple[str, str, str], Became]]
"""By network and recording."""


def _shares(tables: Tables, keys: Sequence[tuple[str, str, str]]) -> None:
    first, *_ = tables.values()
    for name, table in tables.items():
        got = [table[key].outcome for key in keys]
        counts = Counter(got)
        cells = "".join(f"{100 * counts[each] / len(got):8.1f}" for each in OUTCOMES)
        tests = ""
        if table is not first:
            for good in (("right",), ("right", "asked")):
                both = [(table[key].outcome in good, first[key].outcome in good) for key in keys]
                better, worse = both.count((True, False)), both.count((False, True))
                tests += f"   +{better} -{worse} p={mcnemar(better, worse):.2g}"
        heard = [pair for key in keys for pair in table[key].pairs]
        if heard:
            tests = f"   calibration error {calibration_error(heard):.3f} of {len(heard)}{tests}"
        print(f"  {name:<14}{cells}{tests}")


def _false_calls(tables: Tables, keys: Sequence[tuple[str, str, str]]) -> None:
    for name, table in tables.items():
        count = sum(int(table[key].outcome) for key in keys)
        hours = sum(table[key].seconds for key in keys) / 3600
        print(f"  {name:<14}{count:6} in {60 * hours:.0f} min: {count / hours:.0f} an hour")


def main() -> None:
    """Run what was asked for."""
    arguments = argparse.ArgumentParser(description=__doc__)
    kinds = arguments.add_subparsers(dest="what")
    gather = kinds.add_parser("gather")
    gather.add_argument("folder", type=Path)
    gather.add_argument("--speech", type=Path, required=True, help="the benchmarks' people")
    gather.add_argument("--people", type=Path, required=True, help="a folder a source")
    gather.add_argument("--noise", type=Path, required=True, help="a folder a source")
    gather.add_argument("--digits", type=int, default=180)
    made = kinds.add_parser("measure")
    made.add_argument("folder", type=Path)
    made.add_argument("--networks", nargs="+", required=True, help="NAME=CHANGE; NAME= is the "
                      "network as it is published")  # fmt: skip
    made.add_argument("--beside", nargs="*", choices=PEERS, default=(), help="the other "
                      "recognizers")  # fmt: skip
    made.add_argument("--kinds", nargs="+", choices=KINDS, default=KINDS)
    made.add_argument("--jobs", type=int, default=2)
    made.add_argument("--seconds", type=float, default=1e6, help="stop after so long")
    made.add_argument("--out", type=Path, required=True)
    told = kinds.add_parser("tell")
    told.add_argument("files", type=Path, nargs="+")
    told.add_argument("--looser", type=float, choices=LOOSER, default=0.0, help="if a call had to "
                      "score so much less")  # fmt: skip
    given = arguments.parse_args()
    if given.what == "gather":
        strangers.write(given.folder, given.speech, given.people, given.noise, given.digits)
    elif given.what == "measure":
        measure(given)
    elif given.what == "tell":
        tell(given.files, given.looser)
    else:
        print("Strangers are not measured: that needs recordings of people (--help)")


if __name__ == "__main__":
    main()
