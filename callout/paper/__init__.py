"""The book on paper: what a person needs to read it, check it, or go on with a pen.

`text` is the whole book as plain text, written at each period's end and by `callout sheet`; `box`
is the box score as a table on the terminal. Both take their figures from the game's `view`.

`box_page` is the box score on paper, with a picture of the game's course: `course` and `court_time`
count, `chart` and `box_rows` arrange, and the template `box.typ` only places.
"""
