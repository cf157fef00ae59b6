"""The rules engine: what a call means for the book, and what the book then holds. Pure.

Three functions carry it, in the manner of an event-sourced ledger:

    decide(game, call, at)  gives events, or a refusal        decide.py, decisions/
    apply(game, event)      gives the next game               apply.py, book_lines.py
    fold(start, entries)    gives the game after all entries  fold.py

**Calls and events.** A call is what a person said or pressed: "home two, number five". It does not
say what that means. `decide` finds the call's function in one table, looks at the rules of the
league and at the game, and answers with events: a goal was scored, the clock stopped. `apply` finds
the event's function in a second table and makes the next `Game`, a frozen value; the old one stays
as it was. The journal keeps an entry for each call that was booked: the call, its time, its events.

**Why two steps.** An event says what the rules made of the call, so that `apply` need not decide it
again. Therefore the book can be folded again without an entry that was undone, and a rule that is
corrected in `decide` does not rewrite a game that was recorded before.

**What is refused.** The table writes down what the officials rule; it is no referee. A call is
refused only if it cannot be true (a kind of foul that the league does not have) or would change
nothing (the clock is running already). A call against the rules, such as one time-out too many, is
booked, and `notices` says which rule it breaks.

**Both functions are total.** Every call has an answer in every state, and every event can be
applied in every state. An event about a line that is no longer in the book changes nothing except
`Game.misfits`. So any sequence of entries folds to a game.

**Undo.** No entry is removed. "Undo that" is an entry of its own with the event `TakenBack`; the
game is then folded from its beginning without the events of the entry taken back. One kind of event
is kept even then: a clock that was stopped must not run again. Each line of the book is named by
the number of its entry, so its name stays the same when an earlier entry is left out.

**Totals are counted, not stored.** Score, team fouls and time-outs left are functions of the lines
(`figures`). A line that is corrected corrects every total.

Time is in whole tenths of a second. Nothing here reads a clock: the moment of a call is passed in
as `At`, and `due` lists what the clock itself will call, and when.
"""
