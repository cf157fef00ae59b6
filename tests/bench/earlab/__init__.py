"""The parts of the ear's benchmark: voices, noises, texts, other recognizers, figures.

- `voices`, `talk`, `noise`: synthetic speech, texts that are not calls, and halls;
- `items`, `games`: what is heard with its meaning, and the moment of a game in which it is heard;
- `ours`, `peers`: the project's ear, and other ways to recognise the same calls;
- `picture`: the figures as SVG.
"""
