"""From the microphone to calls: what was said, and how sure that is.

**The acceptor.** The recognizer is not asked what was said in English; it is asked which call was
made. Its grammar is replaced by an exact acceptor: the minimal network of all sentences that are
calls in this game (`callout.language`), written as an OpenFst file (`grammar_fst`). At the start of
that network a loop on the word `[unk]` takes other speech, and from the end of each call an arc
leads back to the start, so that several calls may be made in one breath. Both cost something, lest
talk be heard as a chain of calls. The acoustic model stays as it is, except for a small change that
was trained for the noise of a hall (`hall_change`).

**The likelihood ratio.** An acceptor alone must find a call in any sound: it has nothing else to
find. So every stretch of sound is decoded a second time by the same acoustic model with its own
graph of all English ("open speech"). Both give a log-likelihood of the same sound, and their
difference says how much better the call explains it than other words do. The call's surprise is
subtracted, the negative logarithm of its probability if every continuation were equally likely:
where hundreds of things may be said, one of them fits almost any sound. The rest is its score.

**The threshold.** `verdict` compares the score with a threshold that depends on what surrounds the
call: low while the key to talk is down, since all that is then said is meant; higher where other
speech or equally loud sound lies next to it (`nearby_speech`), for then it may be a piece of talk;
lower for a call of many words, since talk is seldom taken for one.
A call that is not alone in its utterance is decoded again in its own sound, so that a true call
does not carry a false one. The prior of `callout.table.talk` shifts the threshold, too.

**The alternatives.** A call that passes goes on with all other calls that the same sound may be.
`spoken_calls` parses them, weighs them by what is likely in the game, and decides between certain,
doubtful and none (see `callout.table.talk`).

**Processes.** `process` is the child that holds microphone and recognizer; `client` starts it,
watches it and restarts it. `listening` cuts the microphone's sound into utterances: the open ear at
a pause, the others while a key is held or for one call after a tap.

In this folder only `recognizer` imports vosk.
"""
