"""The template of the card of calls and keys."""

from __future__ import annotations

from pathlib import Path
from typing import Final

CARD: Final = Path(__file__).with_name("card.typ")
