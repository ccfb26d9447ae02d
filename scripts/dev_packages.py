"""Prints the packages of pyproject's group `dev`, one a line, for pips that know no groups."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def main() -> None:
    """Print the names."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    sys.stdout.writelines(f"{name}\n" for name in project["dependency-groups"]["dev"])


if __name__ == "__main__":
    main()
