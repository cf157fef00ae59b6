"""Training of models/vosk-model-en-hall.npz, the change to the recognizer's network for a hall.

`make training` repeats it. It begins with teacher-student training: the published network (the
teacher) hears speech in quiet, a copy of it (the student) hears the same speech in the noise of a
hall, and the copy is changed until it gives the same answers, first by synthetic voices, then by
people's speech, too, of which no transcript is needed. Last, synthetic voices teach it to tell
calls apart. Only the change is stored, not the network.

- `speech`: the texts, and the synthetic voices that say them;
- `halls`: the same words in quiet and as a microphone in a hall receives them;
- `features`: the features and speaker vectors that the network is given;
- `network`: the network in PyTorch, read from the recognizer's file;
- `__main__`: the training by synthetic voices;
- `split`, `gather`: who teaches, and all of it in one folder;
- `lessons`, `rooms`, `crowds`, `tensor_features`: sounds and features of many at once, on a GPU;
- `strangers`: the training by people, too;
- `calls`: calls that are easily taken for each other;
- `lexicon`, `graphs`, `sums`: all that may be said, in answers of the network, and how likely
  it is;
- `confusions`: the training by those calls;
- `average`: the mean of several changes.
"""
