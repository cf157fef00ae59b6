"""Who teaches and who measures; the folders' licences are quoted in `split`."""

from pathlib import Path

import pytest

from tests.training.split import NOISES, PEOPLE, part_of, speaker_of

ROOT = Path("recorded")


def test_a_speaker_is_wholly_in_one_part() -> None:
    readers = [
        [
            ROOT / "librispeech-resemblyzer" / f"{who}-{book}-0000.flac"
            for book in range(1_000, 1_009)
        ]
        for who in range(100, 200)
    ]
    parts = [{part_of(path) for path in reader} for reader in readers]
    assert all(len(each) == 1 for each in parts)
    assert set.union(*parts) == {"training", "calibration", "validation"}


@pytest.mark.parametrize("source", ["kajongg", "asterisk-allison", "etw-data", "opensfx", "other"])
def test_what_may_not_teach_measures(source: str) -> None:
    assert source not in PEOPLE | NOISES
    assert {part_of(ROOT / source / f"{at}_b.flac") for at in range(99)} == {"validation"}


def test_a_speaker_is_told_by_the_file() -> None:
    named = {
        "speech-commands-vinsis/bed_62581901_nohash_0": "62581901",
        "speechocean762/SPEAKER0001_000010106": "SPEAKER0001",
        "librispeech-resemblyzer/103-1240-0000": "103",
        "howl-commonvoice/cat_0ab3b47d_nohash_0": "0ab3b47d",
        "howl-commonvoice/clips_common_voice_en_20005954": "20005954",
        "tuxpaint-stamps/3_en_GB": "GB",
        "ktuberling/egypt_man": "ktuberling",
    }
    assert {name: speaker_of(ROOT / f"{name}.flac") for name in named} == named


def test_the_same_clip_of_two_names_is_of_one_speaker() -> None:
    twice = [f"howl-commonvoice/{head}_common_voice_en_20005954" for head in ("audio", "clips")]
    assert len({part_of(ROOT / f"{name}.flac") for name in twice}) == 1
