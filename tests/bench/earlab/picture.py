"""A diagram of the share of right calls against the noise, as SVG, one line a recognizer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

Shares = Mapping[str, Sequence[float]]
"""Per cent right at each level of noise, for each recognizer."""

WIDTH: Final = 720
HEIGHT: Final = 400
LEFT: Final = 60
RIGHT: Final = 250
TOP: Final = 50
BOTTOM: Final = 60

STROKES: Final = (
    ("#111", "none"),
    ("#111", "8 4"),
    ("#0a6", "2 3"),
    ("#c50", "10 3 2 3"),
    ("#47c", "4 6"),
    ("#888", "1 5"),
)
"""Colour and dashes of each line, so that it can be read without colours."""

APART: Final = 15
"""The least distance between names at the ends of lines, in SVG units."""


def picture(title: str, levels: Sequence[str], shares: Shares, most: float = 100.0) -> str:
    """The text of the SVG file; `most` per cent are at the top."""
    xs = [LEFT + at * (WIDTH - LEFT - RIGHT) / (len(levels) - 1) for at in range(len(levels))]
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
        'font-family="sans-serif" font-size="13">',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>',
        f'<text x="{LEFT}" y="24" font-size="15">{title}</text>',
    ]
    for percent in np.linspace(0.0, most, 6):
        y = _y(percent / most)
        out.append(f'<path d="M{LEFT} {y:.1f}H{WIDTH - RIGHT}" stroke="#ddd"/>')
        out.append(f'<text x="{LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{percent:g}</text>')
    for x, level in zip(xs, levels, strict=True):
        out.append(f'<text x="{x:.1f}" y="{HEIGHT - 30}" text-anchor="middle">{level}</text>')
    names = _names({who: each[-1] / most for who, each in shares.items()})
    for (who, each), (colour, dashes) in zip(shares.items(), STROKES, strict=False):
        points = " ".join(f"{x:.1f},{_y(y / most):.1f}" for x, y in zip(xs, each, strict=True))
        style = f'fill="none" stroke="{colour}" stroke-width="2.5" stroke-dasharray="{dashes}"'
        out.append(f'<polyline points="{points}" {style}/>')
        out.append(
            f'<text x="{WIDTH - RIGHT + 10}" y="{names[who]:.1f}" fill="{colour}">'
            f"{who}, {each[-1]:.0f}</text>"
        )
    return "\n".join([*out, "</svg>", ""])


def _y(share: float) -> float:
    return TOP + (1 - share) * (HEIGHT - TOP - BOTTOM)


def _names(ends: Mapping[str, float]) -> dict[str, float]:
    """The height of each name, the best on top, without overlaps."""
    found: dict[str, float] = {}
    last = -float(APART)
    for who in sorted(ends, key=lambda each: -ends[each]):
        last = max(_y(ends[who]) + 4, last + APART)
        found[who] = last
    return found
