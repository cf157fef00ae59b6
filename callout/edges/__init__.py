"""The edges: the only code that touches devices, processes, the network and sound files.

- `ear`: microphone to utterances to calls;
- `voice`: sentences to sound;
- `keys`: terminal, keyboard of all windows, pedals;
- `models`: recognizers and voices: listed, fetched, verified;
- `live`: all of them joined for one game;
- `typesetting`: templates and data to PDF or PNG.

Ear, voice and keys never import each other. What may crash or hang (the recognizer, the voice, the
keyboard's native hooks) runs in a child process that is watched and restarted; the book goes on
without it. The rules, the dialogue and the meaning of keys lie in the pure folders, where they can
be tested without a device.
"""
