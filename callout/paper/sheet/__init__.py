"""The score sheet that is printed and signed: what stands on it, and the templates that draw it.

`form.sheet` makes plain data of a game; `fiba.typ` and `american.typ` draw them, and an edge sets
these as PDF or PNG. Whatever decides what a mark means is done here, in Python; a template only
knows how each mark looks.

- `roster`: the lists of players and coaches, with fouls and baskets;
- `running`: the running score, cell by cell;
- `boxes`: team fouls and time-outs;
- `history`: what was corrected, and where the arrow went;
- `notes`: what stands overleaf;
- `words`: periods, times and lines of the book in words.

Source of the running score's form: FIBA, Official Basketball Rules 2022, Appendix B. The American
form is common practice; that throws made and missed, fouls and a running total are kept is NFHS
2-11-4.
"""
