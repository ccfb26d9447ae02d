"""Prints the packages of pyproject's group `dev` that constraints.txt pins, one a line.

The others are heavy references that only somebody who compares against them installs.
"""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def plain(name: str) -> str:
    """A package's name as registries compare it, without version and extras."""
    return re.sub(r"[-_.]+", "-", re.split(r"[\s<>=!~;\[]", name, maxsplit=1)[0]).lower()


def main() -> None:
    group = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["dependency-groups"]["dev"]
    lines = (ROOT / "constraints.txt").read_text("utf-8").splitlines()
    pinned = {plain(line) for line in lines if line.strip() and not line.startswith("#")}
    sys.stdout.writelines(f"{name}\n" for name in group if plain(name) in pinned)


if __name__ == "__main__":
    main()
