"""The files of a recognizer's model that the program reads or replaces.

Source: the layout of Kaldi's online models, as vosk reads it.
"""

from __future__ import annotations

from typing import Final

GRAMMAR: Final = "graph/Gr.fst"
"""The language model as an FST."""

NETWORK: Final = "am/final.mdl"
"""The acoustic model: from frames of 25 ms of sound to the probabilities of phones."""

EXTRACTOR: Final = "ivector/final.ie"
"""The extractor of the speaker's vector."""

CONF_FILE: Final = "conf/model.conf"
"""The settings of the search."""

NEEDED: Final = (NETWORK, CONF_FILE, GRAMMAR, "graph/HCLr.fst")
"""Files without which the recognizer's library ends the process instead of raising an error.

A model with a single graph, HCLG.fst, lacks two of them: it cannot use another grammar.
"""
