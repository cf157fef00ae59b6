"""Words to calls, and notices to sentences: one language is one folder of data. Pure.

A language folder (`grammars/en`) has a YAML file for each call. Its templates, such as
`{team} {points} [number {number}]`, say in which words the call may be made. `folder` reads it into
a `Grammar`.

**One machine, used twice.** All templates together are compiled to one machine of states and arcs
(`machine`, and `choices` for what may stand for a slot), and each path through it is a sentence.
From that machine `compiler` makes the minimal deterministic acceptor (`network`), which the
recognizer is given in place of its own grammar: it can hear these sentences and nothing else.
`parser` walks the same machine to turn the words back into calls. What the ear can hear, the parser
can therefore read.

**No guesses.** A sentence has one meaning. `check` refuses a language in which two calls share a
sentence, an example does not give its call, or a call outside a question is a single word. Words
that are no sentence are no call; nothing is repaired.

**Inverse pairs.** `slots` turns values to words and back; `replies` says what notices mean;
`sample` lists every sentence with its meaning straight from the templates, so that the parser can
be tested by something other than itself.

**Keys** use the same templates: `pattern` reads `{team} two` as a call whose team is still open.
A key can say nothing that a voice cannot.

No word of any language stands in the code.
"""
