"""Everything that must be clean before a change goes in, as one command: the same that CI runs.

.venv/bin/python tests/check.py              format, lint, types, import rules, tests
.venv/bin/python tests/check.py --no-tests   the same without the tests
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).parents[1]
PYTHON = sys.executable
CHECKS: dict[str, Sequence[str]] = {
    "format": (PYTHON, "-m", "ruff", "format", "--check", "."),
    "lint": (PYTHON, "-m", "ruff", "check", "."),
    "types": (PYTHON, "-m", "mypy"),
    "imports": (str(Path(PYTHON).with_name("lint-imports")), "--no-cache"),
}
TESTS: Sequence[str] = (PYTHON, "-m", "pytest")
# A test that cannot run here is a failure, and the same examples are tried every time.
STRICT = {"CI": "true", "DONORBOOK_NO_SKIP": "1", "PYTHONHASHSEED": "0"}


def passes(name: str, command: Sequence[str]) -> bool:
    """Run one check and say how it went."""
    print(f"-- {name}: {' '.join(command[1:])}", flush=True)
    started = time.monotonic()
    status = subprocess.run(command, cwd=ROOT, env={**os.environ, **STRICT}, check=False).returncode
    print(f"-- {name}: {'clean' if status == 0 else 'NOT CLEAN'} in {time.monotonic() - started:.0f} s", flush=True)
    return status == 0


def main() -> int:
    """Run every check, also after one that fails; the exit status is 1 if any did."""
    parser = argparse.ArgumentParser(description="Check format, lint, types, import rules and tests.")
    parser.add_argument("--no-tests", action="store_true", help="leave the tests out")
    checks = dict(CHECKS)
    if not parser.parse_args().no_tests:
        checks["tests"] = TESTS
    unclean = [name for name, command in checks.items() if not passes(name, command)]
    print(f"NOT CLEAN: {', '.join(unclean)}" if unclean else "everything is clean", flush=True)
    return 1 if unclean else 0


if __name__ == "__main__":
    sys.exit(main())
