"""A temporary folder for one process. Making one removes those that dead processes left."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from pathlib import Path
from types import TracebackType


class PrivateFolder:
    """A folder that only the user may read, locked while it is in use.

    A killed process leaves its folder, maybe with 45 MB of a model in it. The system releases the
    lock with the process, which shows the next one which folders of its prefix are abandoned.
    """

    def __init__(self, prefix: str) -> None:
        """Make it, in the system's place for temporary files.

        Raises:
            OSError: it cannot be made.
        """
        _remove_abandoned(prefix)
        self._lock: int | None = None
        while True:
            self.path = Path(tempfile.mkdtemp(prefix=prefix))
            if sys.platform == "win32":
                return
            self._lock = _locked(self.path, waits=True)
            # Another process may have taken it for abandoned before it was locked.
            if self.path.exists():
                return
            if self._lock is not None:
                os.close(self._lock)

    def close(self) -> None:
        """Remove it, with all that lies in it."""
        shutil.rmtree(self.path, ignore_errors=True)
        if self._lock is not None:
            os.close(self._lock)
            self._lock = None

    def __enter__(self) -> Path:
        """The folder's path."""
        return self.path

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Remove it."""
        self.close()


def _locked(folder: Path, waits: bool) -> int | None:
    """A handle that holds the folder's lock; none if it cannot be had, or there are no locks."""
    if sys.platform == "win32":
        return None
    import fcntl

    try:
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    except OSError:
        return None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if waits else fcntl.LOCK_NB))
    except OSError:
        os.close(handle)
        return None
    return handle


def _remove_abandoned(prefix: str) -> None:
    """Remove the user's own folders of that prefix that no process has locked."""
    if sys.platform == "win32":
        return  # a folder cannot be locked there
    for path in Path(tempfile.gettempdir()).glob(f"{prefix}*"):
        try:
            own = path.lstat().st_uid == os.getuid()
        except OSError:
            continue
        handle = _locked(path, waits=False) if own else None
        if handle is not None:
            shutil.rmtree(path, ignore_errors=True)
            os.close(handle)
