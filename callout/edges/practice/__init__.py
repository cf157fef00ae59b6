"""The live table with an invented game played at it, and where the results are kept.

The user's calls take the same path as at a game: ear and keys, one queue, one session. Only the
play-by-play is added, by a voice of its own.
"""
