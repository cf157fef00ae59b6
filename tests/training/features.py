"""The features of a sound by a library of Kaldi's own, beside those of the program in numpy.

The numbers are those of the model's own files.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.own_voice.features import BINS, HIGH_HZ, LOW_HZ
from callout.edges.ear.sound import RATE_HZ

Array = NDArray[Any]


def mfcc(wave: Array) -> Array:
    """The features of a sound with samples from -1 to 1: an array (frames, 40)."""
    # Where `tensor_features` makes them, nothing is taken from here.
    import kaldi_native_fbank

    options = kaldi_native_fbank.MfccOptions()
    options.frame_opts.samp_freq = RATE_HZ
    options.frame_opts.dither = 1.0
    options.mel_opts.num_bins = options.num_ceps = BINS
    options.mel_opts.low_freq, options.mel_opts.high_freq = LOW_HZ, HIGH_HZ
    options.use_energy = False
    made = kaldi_native_fbank.OnlineMfcc(options)
    made.accept_waveform(RATE_HZ, (wave * 32_768.0).astype(np.float32).tolist())
    made.input_finished()
    frames = [made.get_frame(at) for at in range(made.num_frames_ready)]
    return np.stack(frames).astype(np.float32)
