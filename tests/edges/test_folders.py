"""The user's folders, on each system.

Sources: XDG Base Directory Specification 0.8; Apple's File System Programming Guide; Microsoft's
KNOWNFOLDERID, FOLDERID_LocalAppData and FOLDERID_RoamingAppData.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from callout.edges import folders
from tests.patience import HANG_S

FOLDERS = (folders.cache, folders.settings, folders.data, folders.logs)

ASK = """
import sys
sys.platform = sys.argv[1]
from callout.edges import folders
for ask in ({names}):
    print(getattr(folders, ask)())
"""


def asked(platform: str, home: Path, **variables: str) -> list[str]:
    """The folders in a new process that takes itself to run on that platform."""
    names = ", ".join(repr(ask.__name__) for ask in FOLDERS)
    done = subprocess.run(
        [sys.executable, "-c", ASK.format(names=names), platform],
        env={"HOME": str(home), "PATH": os.environ["PATH"], **variables},
        capture_output=True,
        text=True,
        timeout=HANG_S,
    )
    assert done.returncode == 0, done.stderr
    return [line.replace("\\", "/") for line in done.stdout.splitlines()]


@pytest.mark.parametrize(
    ("platform", "expected"),
    [
        (
            "linux",
            [
                ".cache/callout",
                ".config/callout",
                ".local/share/callout",
                ".local/state/callout",
            ],
        ),
        (
            "darwin",
            [
                "Library/Caches/callout",
                "Library/Application Support/callout",
                "Library/Application Support/callout",
                "Library/Application Support/callout",
            ],
        ),
    ],
)
def test_the_folders_are_those_of_the_system(
    platform: str, expected: list[str], tmp_path: Path
) -> None:
    assert asked(platform, tmp_path) == [str(tmp_path / each) for each in expected]


def test_on_windows_the_settings_alone_roam(tmp_path: Path) -> None:
    local, roaming = "C:/Users/a/AppData/Local", "C:/Users/a/AppData/Roaming"
    # Elsewhere than on Windows, the library cannot ask Windows itself.
    given = {"WIN_PD_OVERRIDE_LOCAL_APPDATA": local, "WIN_PD_OVERRIDE_APPDATA": roaming}
    found = asked("win32", tmp_path, **given)
    assert found == [f"{each}/callout" for each in (local, roaming, local, local)]


def test_on_linux_the_environment_may_name_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = ("XDG_CACHE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME")
    for name in names:
        monkeypatch.setenv(name, str(tmp_path / name))
    assert [ask() for ask in FOLDERS] == [tmp_path / name / "callout" for name in names]
