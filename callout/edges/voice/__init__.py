"""From sentences to sound: synthesizers, the phrase cache, the player.

A phrase is rendered once and kept (`phrases`, `phrase_cache`), since rendering takes longer than an
answer may. The synthesizer is piper in a child process (`piper`, `piper_process`), or the voice of
the system (`system`); both have one interface (`synthesizer`). `player` plays a queue of sounds on
one stream, to one ear or both, at a level that cannot hurt. `voice` chooses where all this goes: to
a sound device, into a WAV file, or into print.

The voice reports when a phrase begins and ends; meanwhile the open ear is closed, so that it does
not hear the table itself.
"""
