"""Codes that a telephone's camera reads: the address of a page as a picture, or for a terminal."""

from __future__ import annotations

import io

import segno


def svg(url: str) -> bytes:
    """The code as a picture that is its own file, black on white in every theme."""
    drawn = io.BytesIO()
    segno.make(url, micro=False).save(drawn, kind="svg", scale=6, dark="#000", light="#fff")
    return drawn.getvalue()


def for_terminal(url: str) -> str:
    """The code in lines of block characters."""
    drawn = io.StringIO()
    segno.make(url, micro=False).terminal(drawn, compact=True)
    return drawn.getvalue()
