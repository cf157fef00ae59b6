"""How long a test waits for what must come: so long that only a hang can take it.

A test must not depend on how busy the machine is. Beside eight busy loops on two cores, a start of
the program that takes 2 s took more than 60.
"""

from typing import Final

HANG_S: Final = 600.0
