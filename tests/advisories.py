"""Checks every pinned package for known vulnerabilities; run by `make audit`.

Exit status 1 if there is one. Where no advisories can be fetched, without a network or from a
registry that has none, it says so and passes.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from typing import Any

Packages = list[dict[str, Any]]
"""One row a package: its name and version, and `vulns` or `skip_reason`."""


def advisories(pinned: str) -> Packages:
    """The auditor's report on each package pinned in a file.

    Raises: OSError with the auditor's last line if it gave no report.
    """
    options = ["--disable-pip", "--require-hashes", "--format", "json", "--progress-spinner", "off"]
    command = [sys.executable, "-m", "pip_audit", *options, "--requirement", pinned]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    try:
        return list(json.loads(done.stdout)["dependencies"])
    except ValueError:
        lines = done.stderr.strip().splitlines()
        raise OSError(lines[-1] if lines else f"no answer, status {done.returncode}") from None


def main(files: list[str], ask: Callable[[str], Packages] = advisories) -> int:
    """Print the report; return 1 if any package has a known vulnerability."""
    known: set[str] = set()
    asked: set[str] = set()
    skipped: set[str] = set()
    for pinned in files:
        try:
            found = ask(pinned)
        except OSError as error:
            print(f"{pinned}: advisories could not be asked: {error}", file=sys.stderr)
            skipped.add(pinned)
            continue
        for package in found:
            name = package["name"]
            (skipped if "skip_reason" in package else asked).add(name)
            for each in package.get("vulns", ()):
                known.add(f"{name} {package['version']}: {each['id']}, mended in "
                          f"{', '.join(each['fix_versions']) or 'no version yet'}")  # fmt: skip
    for line in sorted(known):
        print(line)
    print(f"{len(asked)} packages asked about, {len(skipped)} could not be, "
          f"{len(known)} known vulnerabilities")  # fmt: skip
    return 1 if known else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
