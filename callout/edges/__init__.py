"""The edges: the only code that touches devices, processes, the network and sound files.

- `ear`: microphone to utterances to calls;
- `voice`: sentences to sound;
- `keys`: terminal, keyboard of all windows, pedals;
- `page`: pages in a browser;
- `models`: recognizers and voices: listed, fetched, verified;
- `league`: the league's server;
- `live`: ear, voice, keys and page joined for one game;
- `practice`: a live table at which an invented game is played;
- `typesetting`: templates and data to PDF or PNG.

Ear, voice, keys, page and league never import each other. What may crash or hang (the recognizer,
the voice, the keyboard's native hooks) runs in a child process that is watched and restarted; the
book goes on without it. The rules, the dialogue and the meaning of keys lie in the pure folders,
where they can be tested without a device.
"""
