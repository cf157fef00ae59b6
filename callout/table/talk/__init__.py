"""The talk between table and scorer: doubt, questions, answers and repeats. Pure.

**The theory of doubt.** One sound may be several calls: "home fifteen", "home fifty". The ear
passes on the call that fits best and every other whole call that may have been said, each with how
much worse it fits, as the logarithm of a likelihood ratio. By Bayes' rule the weight of a reading
is its likelihood times its prior. The prior (`prior`) is what the game says before anything is
heard: 1 for most calls, much more for an answer to the open question, much less for a call that
would be refused now, less for a shirt that is not on the list. The weights of all readings, with
those of sentences that sound like a call and are none, add up to 1. If the likeliest call has at
least `CERTAIN` of that, it is booked without a question: below, the risk of a wrong entry would
cost more than the question (`costs`). Otherwise it arrives with a `Doubt`: the calls it may be, and
the share of each.

**What a doubtful call books** (`doubt`). If only the number is in doubt, and the call can do
without it, points or foul are booked at once with the number open, and the question is about the
number alone: an open number can be completed at any time. If the call needs its number, it waits
for the answer. If the readings are different calls, nothing is booked before the scorer has chosen.

**An answer may be in doubt, too.** Its readings are weighed by the shares of the first sound, so
that the two sounds count together; the question is repeated until one choice is certain.

**What answers teach** (`leaning`). Each answer to which number was said moves a weight of that
number, which the prior multiplies in. So who means fifteen whenever fifteen or fifty was heard is
asked less and less; who says both as often is asked as before.

**A call said again** (`nearly`). The ear ignores a call that it could not tell from talk. Whoever
is not answered says it again; then it needs less, and is asked about where it is still unclear.

**Other questions.** `booking_questions` asks before what may be a slip or weighs heavily: a period
ended with time on the clock, a score that is set. `repeats` asks where the same call comes again
within four seconds, since a partner at the table may have said it after the scorer.

**Time.** A question waits eight seconds, thirty where a game is resumed. Unanswered it counts as a
no, and the table says what stays as it was. "Undo that" drops a call that waits for its answer:
nothing older is taken back. A question whether the period is over is dropped when the clock ends
it. The clock cannot wait: start, stop and dead ball pass through an open question. Only people are
asked; calls from the clock or a script are booked as they come.

`dialogue` joins all of it: `hear(dialogue, heard, decisions)` gives the next dialogue and the calls
that may be booked now. Spoken calls and key presses take the same way.
"""
