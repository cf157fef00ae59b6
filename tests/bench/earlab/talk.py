"""Texts that are not calls, from a seed: words, phrases and sentences of a Saturday at the gym."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from random import Random
from typing import Final

WHO: Final = """I|you|she|he|they|we|my sister|his mother|the coach|that boy|our driver|the other
 team|grandma|somebody|the caretaker|her little brother|your uncle|everybody|the guest|the home team
 """
DID: Final = """wanted|forgot|found|bought|left|dropped|needs|saw|brought|asked about|
 is looking for|missed|likes|lost|washed|paid for|can carry|will fetch|never mentioned|
 has already got|used to have
 """
WHAT: Final = """the tickets|two coffees|a new ball|my keys|the bus timetable|three sandwiches|
 the blue jacket|a number|the first aid box|the time|that foul smell|the home page|a charger|
 seven chairs|the score of the other game|a bottle of water|fifteen minutes of peace|the car|
 the score sheet|a pencil|the arrow on the sign|his shoes|the shirts|a stop sign|the clock at home
 """
WHEN: Final = """yesterday|after lunch|at home|on Friday|before the game|in the morning|again|
 for the whole team|by the door|last summer|twice|because of the rain|without asking|
 during the second quarter|at half time|when the period started|right now|in a minute
 """
PHRASES: Final = """see you later|how are you|not so bad|come on|let us go|well played|nice shot|
 defence|what a pass|pass it|watch out|good job|over here|sit down please|can you move|thank you|
 you are welcome|no way|of course|are you hungry|where is the toilet|do you want some tea|
 it is so loud in here|is this seat free|I love this song|hands up|rebound|shoot it|get back|
 one more|next time|never mind|who is that|almost there|take it easy|look at that|bring the water|
 turn left at the station|call me tonight|happy birthday|two for one|home sweet home|time to go
 """
WORDS: Final = """yes|no|okay|well|right|now|water|coffee|home|guest|away|two|three|one|foul|stop|
 start|time|ball|team|number|shot|horn|sub|arrow|clock|jump|good|missed|basket|undo|check|score|
 coach|bench|eleven|fifty|fifteen|hello|sorry|maybe|please|great|louder|defence|offence|rebound|
 referee|whistle|pizza|parking|tomorrow|Saturday|mother|father|sister|brother|window|door|ladder
 """
SAME_WORDS: Final = """did you get that foul on eleven|I think that was a foul on twelve|
 was it two or three|that was never a foul|how many fouls has she got|who is number five|
 is it home's ball or theirs|he stepped out, that is their ball|what does the clock say|
 there is no time left to talk|do they have a timeout left|I would take a timeout now|
 the guests are away next week|let me check the score of the other game|that shot was no good|
 number fifteen is so quick|she has four fouls already|you should stop the clock sooner|
 the horn does not work|why is the arrow pointing that way|put the sub in now|
 the sub is waiting for her mum|home is where the heart is|a three would tie it|
 two more and we are level|the coach wants a word with you|he missed both free throws|
 that technical was harsh|start the car I am coming|we were home by two|
 number ten has a new number|is that her fifth foul or her fourth|a jump ball they said|
 the last basket did not count did it|one and one are two|my guess is home by ten|
 do not foul now|good pass number seven|get the guest a chair|stop it you two|
 the bench is wet over there|undo your jacket it is warm|sound the alarm|what is the score|
 I have no idea how many timeouts|they changed ends already|twenty seconds is plenty|
 the period is nearly over|cancel my order please|mark is at the door
 """

NEAR: Final = """home ball|guest ball|double foul|double technical|fouls on home eleven|
 fouls on guest fourteen|number twelve in for seven|number twelve for seven|number seven out|
 guest number seven out|home basket number five|basket home five|home five disqualified|
 lane violation|home possession|home in the bonus|home has two shots|home warning|home forfeit
 """


STANDS: Final = 300
"""The number of texts in the stands, besides those that use the words of calls."""


def _list(text: str) -> list[str]:
    return [" ".join(part.split()) for part in text.split("|")]


def same_words() -> list[str]:
    """Table talk that uses the words of calls."""
    return _list(SAME_WORDS)


def near_calls() -> list[str]:
    """Sentences said at a table that sound like a call and are none."""
    return _list(NEAR)


def of_the_stands(seed: int) -> list[str]:
    """The texts of a hall of talkers."""
    return [*islice(everyday(seed), STANDS), *same_words()]


def everyday(seed: int) -> Iterator[str]:
    """An endless stream of words, phrases and sentences."""
    random = Random(seed)
    who, did, what, when = map(_list, (WHO, DID, WHAT, WHEN))
    phrases, words = _list(PHRASES), _list(WORDS)
    while True:
        kind = random.random()
        if kind < 0.15:
            yield random.choice(words)
        elif kind < 0.4:
            yield random.choice(phrases)
        else:
            said = [random.choice(who), random.choice(did), random.choice(what)]
            yield " ".join(said + ([random.choice(when)] if random.random() < 0.5 else []))
