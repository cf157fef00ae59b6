"""The recognizer's network, changed for a hall: only where it should be, and to what effect."""

from __future__ import annotations

import json
import shutil
import struct
import zipfile
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from callout.data import data_folder
from callout.edges.ear.hall_change import STEP, adapted, read_change
from callout.edges.ear.hall_noise import hall_noise, in_noise
from callout.edges.ear.hypotheses import readings_of
from callout.edges.ear.network_file import place
from callout.edges.ear.options import Options
from callout.edges.ear.recognizer import Models, hall_network
from callout.edges.ear.sound import RATE_HZ
from callout.edges.models.catalogue import change_for, known_models
from callout.edges.models.folder import NETWORK
from callout.errors import ModelError
from callout.language.compiler import compile_network
from callout.language.grammar import Scope
from tests.devices import ROSTERS
from tests.drawn import draw
from tests.english import english_grammar
from tests.speech import spoken

CHANGE = data_folder("models") / str(known_models()["vosk-model-en"].change)


def token(name: str, numbers: bytes) -> bytes:
    return f"<{name}> ".encode() + numbers


def vector(*numbers: float) -> bytes:
    """Source: Kaldi's binary files (from memory): kind, a byte 4, the count, then floats."""
    return b"FV \4" + struct.pack(f"<i{len(numbers)}f", len(numbers), *numbers)


def matrix(*rows: tuple[float, ...]) -> bytes:
    """Source: as above, with both counts."""
    size = struct.pack("<bibi", 4, len(rows), 4, len(rows[0]))
    return b"FM " + size + b"".join(struct.pack(f"<{len(row)}f", *row) for row in rows)


FILE = (
    b"<ComponentName> one <Affine> "
    + token("LinearParams", matrix((1.0, 2.0), (3.0, 4.0), (5.0, 6.0)))
    + token("BiasParams", vector(0.5, 0.5, 0.5))
    + b"<ComponentName> two <Norm> "
    + token("StatsMean", vector(7.0, 8.0))
    + b"</Nnet3> "
)


def test_numbers_are_found_by_component_and_name() -> None:
    for key, shape, first in (("one LinearParams", (3, 2), 1.0), ("one BiasParams", (3,), 0.5),
                              ("two StatsMean", (2,), 7.0)):  # fmt: skip
        at, found = place(FILE, key)
        assert found == shape
        assert struct.unpack_from("<f", FILE, at) == (first,)


@pytest.mark.parametrize("key", ["one StatsMean", "two BiasParams", "three StatsMean", "one"])
def test_what_a_network_has_not_is_said(key: str) -> None:
    with pytest.raises(ModelError, match=f"a network's {key}: expected numbers, got none"):
        place(FILE, key)


def test_a_change_adds_to_what_it_names_and_to_nothing_else() -> None:
    """Source: arithmetic."""
    change: dict[str, NDArray[Any]] = {
        "one LinearParams": np.array([[1, 0], [0, -2], [0, 0]], np.int8),
        "one LinearParams" + STEP: np.array([0.5, 0.25, 9.0], np.float32),
        "two StatsMean": np.array([0.0, 1.5], np.float32),
    }
    made = adapted(FILE, change)
    wanted = FILE.replace(matrix((1.0, 2.0), (3.0, 4.0), (5.0, 6.0)),
                          matrix((1.5, 2.0), (3.0, 3.5), (5.0, 6.0)))  # fmt: skip
    assert made == wanted.replace(vector(7.0, 8.0), vector(7.0, 9.5))


def test_a_change_of_another_network_is_refused() -> None:
    with pytest.raises(ModelError, match=r"expected \(3,\) numbers, got \(2,\)"):
        adapted(FILE, {"two StatsMean": np.zeros(3, np.float32)})


def test_the_kept_change_fits_the_listed_network(model: Path) -> None:
    network, change = (model / NETWORK).read_bytes(), read_change(CHANGE)
    made = adapted(network, change)
    assert len(made) == len(network)
    named = bytearray(len(network))
    for key, by in change.items():
        if not key.endswith(STEP):
            at, shape = place(network, key)
            assert shape == by.shape, key
            named[at : at + 4 * by.size] = b"\1" * (4 * by.size)
    differ = np.frombuffer(made, np.uint8) != np.frombuffer(network, np.uint8)
    assert differ.any()
    assert not differ[np.frombuffer(named, np.uint8) == 0].any()


def test_only_the_listed_network_is_changed(model: Path, tmp_path: Path) -> None:
    assert change_for((model / NETWORK).read_bytes()) == CHANGE
    other = tmp_path / "other"
    shutil.copytree(model, other)
    data = bytearray((other / NETWORK).read_bytes())
    data[-1] ^= 1
    (other / NETWORK).write_bytes(data)
    assert change_for(bytes(data)) is None
    assert hall_network(other) is None


@pytest.mark.parametrize("what", ["missing", "empty", "cut", "text", "overwritten"])
def test_a_change_that_cannot_be_read_is_one_line(tmp_path: Path, what: str) -> None:
    path = tmp_path / "change.npz"
    whole = CHANGE.read_bytes()
    middle = len(whole) // 2
    content = {
        "empty": b"",
        "cut": whole[:middle],
        "text": b"not a change\n",
        "overwritten": whole[:middle] + bytes(1_000) + whole[middle + 1_000 :],
    }
    if what != "missing":
        path.write_bytes(content[what])
    with pytest.raises(ModelError, match=r"change\.npz: ") as caught:
        read_change(path)
    assert "\n" not in str(caught.value)


def right_in_noise(model: Path, folder: Path, *, in_hall: bool) -> tuple[int, int]:
    """How many of forty calls are heard word for word in a hall 3 dB below the voice, and in one
    40 dB below it."""
    grammar, noise = english_grammar(), hall_noise(60.0, seed=3)
    models = Models(model, folder, Options(in_hall=in_hall))
    models.use("calls", compile_network(grammar, Scope(ROSTERS)))
    right = {3.0: 0, 40.0: 0}
    for at, each in enumerate(islice(draw(grammar, Scope(ROSTERS), 40, seed=17), 40)):
        text = " ".join(each.words)
        sound = spoken([text])
        for ratio_db in right:
            heard = in_noise(sound, noise[at * RATE_HZ :], ratio_db)
            recognizer = models.recognizer("calls")
            recognizer.AcceptWaveform((heard * 32767).astype(np.int16).tobytes())
            best = readings_of(json.loads(recognizer.FinalResult()))[0]
            right[ratio_db] += text == " ".join(word.word for word in best.words)
    return right[3.0], right[40.0]


@pytest.mark.thorough
def test_more_is_heard_in_a_hall_and_no_less_in_quiet(model: Path, tmp_path: Path) -> None:
    """Source: the network as it is published, beside it."""
    loud, quiet = right_in_noise(model, tmp_path, in_hall=True)
    loud_before, quiet_before = right_in_noise(model, tmp_path, in_hall=False)
    assert loud >= loud_before + 2
    # 120 sentences, of three seeds: 114 and 114, one alone on each side, so that the change costs
    # 0.0 points of a hundred, from -2.3 to 2.3 (95 per cent). Of 40 the difference then varies by
    # 0.8 (standard deviation), and three fewer come once in a hundred draws.
    assert quiet >= quiet_before - 2


def packed(path: Path, **parts: bytes) -> Path:
    """An archive as numpy makes them, with these bytes in the places of arrays."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for name, part in parts.items():
            file.writestr(f"{name}.npy", part)
    return path


def head(shape: str, kind: str = "<f4", more: str = "") -> bytes:
    """The head of an array. Source: numpy's NEP 1, "A Simple File Format"."""
    text = f"{{'descr': '{kind}', 'fortran_order': False, 'shape': {shape}{more}, }}"
    told = text.encode().ljust(117) + b"\n"
    return b"\x93NUMPY\x01\x00" + struct.pack("<H", len(told)) + told


@pytest.mark.parametrize(
    "part",
    [
        head("(1000000000000,)"),
        head("(-1,)"),
        head("(2,)") + bytes(4),
        head("(1,)") + bytes(8),
        head("(1,)", "|O") + bytes(8),
        head("(1,)", "<U1") + bytes(4),
        head("(" * 90),
        bytes(40 << 20),
        b"",
    ],
    ids=lambda part: f"{len(part)} bytes",
)
def test_a_change_that_tells_of_more_than_it_holds_is_one_line(tmp_path: Path, part: bytes) -> None:
    path = packed(tmp_path / "change.npz", x=part)
    with pytest.raises(ModelError, match="expected changes to a network, got another file"):
        read_change(path)


def test_a_change_with_steps_of_another_shape_is_refused(model: Path) -> None:
    network = (model / NETWORK).read_bytes()
    key = next(key for key in read_change(CHANGE) if key.endswith(STEP))
    change = {**read_change(CHANGE), key: np.ones((3, 3), np.float32)}
    with pytest.raises(ModelError, match="expected a step a row"):
        adapted(network, change)
