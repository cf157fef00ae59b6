"""Keys, pedals and one switch to calls. Pure: devices and clocks are passed in.

A key press passes four stages:

1. `presses`: a device reports that a key went down or up, and when. Bounces and autorepeat are
   removed, long presses and chords are recognised. A terminal reports no key-up; there a held key
   is told from repeated presses by its pace.
2. `keymap`, `key_file`: what the press stands for at this table, by the language's own keys and
   those of the scorer's file.
3. `devices`: one `Hands` for all devices of the table; keys pressed one after another (`p n`).
4. `composing`: team, kind and digits joined to a call. A call is made as soon as all that it needs
   is known; its number may follow or come before.

Whatever waited to be understood, a chord or a long press, carries the time at which its first key
went down, so that the clock stops when the key was pressed and not when it was understood.

`one_switch` makes every call with a single switch: choices are read aloud one after another, and a
press takes the one just read. `key_help` lists what may be pressed now.
"""
