"""What is read out to learn a voice."""

from __future__ import annotations

from typing import Final

READ_OUT: Final = (
    "home two number thirteen", "guest foul number thirty", "home three number fourteen",
    "guest two number forty", "home foul number fifteen", "guest three number fifty",
    "guest charge number five", "home shot good number nine", "guest shot missed number eleven",
    "number seven", "home timeout", "sub waiting", "home two number twenty three",
    "guest foul number four", "home three number eight", "shot good", "undo that", "start clock",
    "home foul number two one", "guest two number three",
)  # fmt: skip
"""Calls that cover the numbers and kinds that are heard as each other."""
