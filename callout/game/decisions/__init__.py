"""What each call means for the book: one module for each part of the game, one function a call.

Every function takes `(game, call, at)`, is pure, and stands in the table of `game/decide.py`. It
returns the events in the order in which they are to be applied, or a `Refusal`. The order matters:
a foul stops a live ball before it is charged, and throws are awarded for a foul that is in the book
by then.

Four conventions hold in all of them:

- A call is refused only if it cannot be true or would change nothing (see `callout/game`). The
  refusal's `kind` names its sentence in replies.yaml; `rule` is the article, where there is one.
- A shirt number that is not on the team's list does not stop a goal or a foul from being booked.
  The line is made without a number and stays open; `said` keeps the number that was called.
- Every new line of the book gets its name from `base.next_item`.
- `at.left_tenths` is what the clock showed when the call began, not when it was understood.

The table sees whistles, throws and the clock, but not the ball. Where a rule depends on the ball,
the functions go by time (`FRESH_TENTHS`, `TOSS_TENTHS`), and say so beside the number.
"""
