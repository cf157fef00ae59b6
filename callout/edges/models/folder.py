"""The files of a recognizer's model that the program reads or replaces.

Source: the layout of Kaldi's online models, as vosk reads it.
"""

from __future__ import annotations

from typing import Final

GRAMMAR: Final = "graph/Gr.fst"
"""The words and their order, as an FST."""

NETWORK: Final = "am/final.mdl"
"""The acoustic model: from sound to probabilities of phones, a frame of 25 ms at a time."""

CONF_FILE: Final = "conf/model.conf"
"""The settings of the search."""

NEEDED: Final = (NETWORK, CONF_FILE, GRAMMAR, "graph/HCLr.fst")
"""Files without which the recognizer's library ends the process instead of complaining.

A model whose graph is one file, HCLG.fst, lacks two of them: it cannot take another grammar.
"""
