"""Training of models/vosk-model-en-hall.npz, the change to the recognizer's network for a hall.

`make training` repeats it. It is teacher-student training: the published network (the teacher)
hears speech in quiet, a copy of it (the student) hears the same speech in the noise of a hall, and
the copy is changed until it gives the same answers. So neither transcripts nor human recordings
are needed. Only the change is stored, not the network.

- `speech`: the texts, and the synthetic voices that say them;
- `halls`: the same words in quiet and as a microphone in a hall receives them;
- `features`: the features and speaker vectors that the network is given;
- `network`: the network in PyTorch, read from the recognizer's file;
- `__main__`: the training itself.
"""
