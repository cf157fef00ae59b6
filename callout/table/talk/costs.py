"""What a mistake of the ear costs, and when it is therefore worth a question; one place, pure.

The unit is one needless question: two seconds of a scorer's attention, and an answer.
"""

from __future__ import annotations

from typing import Final

QUESTION: Final = 1.0
"""A needless question: the unit of all costs."""

WRONG_BOOKING: Final = 20.0
"""A wrong entry. It is said back, so most are noticed and taken back: a call to undo it, and the
right one. One that is not noticed is in the book, with somebody's points or foul.

Of 144 common calls in recorded crowds at 12 dB, 104 were right at once and one wrong; at 15.0, 106
and 3.
"""

LOST_CALL: Final = 4.0
"""A call that nothing comes of: its scorer waits, wonders, and says all of it again."""

CHOICE: Final = 0.2
"""One more thing to choose from in a question: it takes a second to say."""

CERTAIN: Final = 1.0 - QUESTION / WRONG_BOOKING
"""A call with a smaller share than this among all that its sound may be is asked about: else the
risk of a wrong entry costs more than the question."""

POSSIBLE: Final = CHOICE / LOST_CALL
"""A reading with a smaller share of the weight of all readings is not offered."""

LEAST_BESIDE_DECOYS: Final = QUESTION / LOST_CALL
"""A call is asked about if its weight is at least this share of the weight of what sounds like a
call and is none (decoys); a lighter one is ignored."""
