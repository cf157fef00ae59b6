"""Where each system wants a program to keep its cache, its settings, its data and its logs."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from platformdirs import PlatformDirs

# On Windows, settings go with the user from machine to machine; what is large or can be made
# again stays. No author's folder is put above ours, and no folder named Cache within it.
_DIRS: Final = PlatformDirs("callout", appauthor=False, opinion=False)
_ROAMING_DIRS: Final = PlatformDirs("callout", appauthor=False, roaming=True)


def cache() -> Path:
    """For what can be made again."""
    return _DIRS.user_cache_path


def settings() -> Path:
    """For what a person has chosen, or was measured for one."""
    return _ROAMING_DIRS.user_config_path


def data() -> Path:
    """For what was fetched to last."""
    return _DIRS.user_data_path


def logs() -> Path:
    """For what tells of past runs."""
    return _DIRS.user_state_path
