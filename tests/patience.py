"""How long a test waits before it fails: longer than anything but a hang takes.

A test must not depend on how busy the machine is. Beside eight busy loops on two cores, a start of
the program took more than 60 s in place of 2 s.
"""

from typing import Final

HANG_S: Final = 600.0
