"""What one may ask of a game: score, fouls, time-outs, opportunities, deadlines. Pure.

Every figure is counted from the lines of the book each time it is asked for. None is stored, so
none can disagree with the lines, and an undo or a correction needs no second step.

- `score`: points, and the lookup of lines: the newest, the open ones, the one with a given name;
- `fouls`: team fouls, the penalty for the next one, who is out;
- `timeouts`: how many are left, and how many the rules have taken away;
- `opportunities`: whether a time-out may be granted or a substitute let in now;
- `deadlines`: whether an error may still be corrected;
- `running_clock`: whether the clock runs on through whistles, and target scores;
- `opening`: how a period begins.

A function whose answer depends on the time takes `left_tenths` as an argument. The clock in a
`Game` holds what it showed at the last start or stop, which is not the time now.

The table does not see the ball. Where a rule asks whether the ball is live, the functions use
whistles, goals, throws and the clock. In doubt an opportunity is taken to last, and an error to be
still correctable: the officials, who see more, then decide.
"""
