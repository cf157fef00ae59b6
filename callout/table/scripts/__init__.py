"""Game scripts: whole games as text, each call with what is expected of it.

Those in `tests/games` are worked examples of the rule books, local variants, and the demo's game.
They need no microphone: `callout replay FILE`. `script` reads one and plays it through a real
session on simulated time; `expectations` compares the book with the script's `==` lines.
"""
