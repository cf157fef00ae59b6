"""Devices with keys: each reports which key went down or up, and when.

- `terminal`: the window that the game runs in; needs no permission, reports no key-up;
- `keyboard`, `keyboard_process`: the whole keyboard, whichever window has the focus, in a child
  process, since its native hooks can crash or freeze all input;
- `pedals`: one device by itself on Linux, grabbed so that it types into no window;
- `timestamps`: the device's own time of an event, converted to ours.

What a key means is decided in `callout.table.hands`.
"""
