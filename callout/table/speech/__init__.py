"""What is said at the table: which notices, how urgently, when, how fast and how loud.

A notice becomes words in `wording` and a place in the queue in `announcer`. More urgent notices
interrupt less urgent ones. An echo that has waited too long is dropped, since the scorer no longer
needs it. A notice that somebody must act on is repeated until the book shows that it was done or
the scorer says "referee told" (`reminders`, `pending_notices`). At a stop the words wait a few
seconds for the referee's report.

How long a text takes to say is estimated from its length, so that nothing waits for a sound device;
where a device reports the end of a phrase, the estimate is corrected. `foresight` tries out on a
copy of the game what may be called next, so that a slow voice can render the reply in advance.
"""
