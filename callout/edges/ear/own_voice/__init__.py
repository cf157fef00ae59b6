"""One person's voice, learned from twenty calls that the person reads out.

A copy of the recognizer's network is taught to answer for that voice as the network answers for the
default voice, which says the same words in quiet. `features` and `speaker` make what the network
hears, `network` computes its answers and what they depend on, `lessons` pairs the two voices'
frames, `learning` finds the change, and `kept` keeps it: some 40 kB, and no sound. `verification`
tells by the speaker's vectors whether two sounds are of one person.
"""
