"""Running commands in a test: in this process, or as a program of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from app.cli import cli

ROOT = Path(__file__).parents[2]
YARD = Path(__file__).parent / "yard"


@dataclass
class Desk:
    """A desk with a book at an address."""

    address: str
    runner: CliRunner = field(default_factory=CliRunner)

    def run(self, *words: str) -> Result:
        """Run a command in this process, whatever comes of it."""
        return self.runner.invoke(cli, ["--book", self.address, *words], prog_name="donorbook")

    def says(self, *words: str) -> str:
        """What a command prints; it must be done."""
        result = self.run(*words)
        assert result.exit_code == 0, (words, result.output, result.exception)
        return result.stdout

    def record(self, *words: str) -> dict[str, Any]:
        """The object that a command prints with --json; it must be done."""
        found = json.loads(self.says(*words, "--json"))
        assert isinstance(found, dict)
        return found

    def refusal(self, *words: str) -> dict[str, Any]:
        """The error object of a command that must be refused, told on stdout alone."""
        result = self.run(*words, "--json")
        assert result.exit_code == 2, (words, result.output, result.exception)
        assert result.stderr == ""
        found = json.loads(result.stdout)
        assert list(found) == ["error"]
        assert list(found["error"]) == ["kind", "title", "remedy", "place", "details"]
        return dict(found["error"])

    def line(self, *words: str) -> str:
        """The one line on stderr of a command that must be refused."""
        result = self.run(*words)
        assert result.exit_code == 2, (words, result.output, result.exception)
        assert result.stdout == ""
        assert result.stderr.count("\n") == 1, result.stderr
        assert result.stderr.startswith("donorbook: "), result.stderr
        return result.stderr.removeprefix("donorbook: ").rstrip("\n")


def program(*words: str) -> list[str]:
    """The words that start `donorbook` as a program of its own."""
    return [sys.executable, "-m", "app", *words]


def environment() -> dict[str, str]:
    """The environment of such a program: it finds the package from wherever it is started."""
    return {**os.environ, "PYTHONPATH": str(ROOT)}


def start(*words: str, **options: Any) -> subprocess.CompletedProcess[str]:
    """Run `donorbook` as a program of its own and wait for it."""
    usual: dict[str, Any] = {"capture_output": True, "text": True, "timeout": 120, "check": False}
    return subprocess.run(program(*words), env=environment(), **{**usual, **options})
