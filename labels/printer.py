"""Hands a label file to the system's `lp`.

`lp` returns 0 as soon as the queue has the job, also with the printer switched off or out of paper. So what
comes back here says "sent" and never "printed".
"""

import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

from labels.errors import PrinterError

PATIENCE = 30.0
"""Seconds to wait for `lp` to take the job."""


@dataclass(frozen=True, slots=True)
class Sent:
    """A job the queue took: nobody knows yet whether paper came out."""

    path: Path
    printer: str | None
    """None is the system's default printer."""
    copies: int
    job: str
    """The words of `lp` about the job."""


def send(path: Path, printer: str | None = None, copies: int = 1) -> Sent:
    """Queue `copies` of a PNG or PDF at its true size.

    PrinterError where there is no `lp`, no such file, fewer than one copy, or `lp` refuses or hangs.
    """
    program = shutil.which("lp")
    if program is None:
        raise PrinterError("This machine has no `lp` to print with", "Install the system's printing, or print the file")
    if copies < 1 or not path.is_file():
        raise PrinterError(f"Nothing to print: {copies} of {path}", "Draw the label again and send it")
    wanted = ["-d", printer] if printer else []
    command = [program, *wanted, "-n", str(copies), "-o", "print-scaling=none", "--", str(path)]
    return Sent(path, printer, copies, _run(command))


def _run(command: list[str]) -> str:
    """What `lp` says about the job it took, on one line."""
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE, check=False)
    except subprocess.TimeoutExpired as late:
        raise PrinterError(f"`lp` did not answer in {PATIENCE:.0f} s", "Look at the print queue") from late
    except OSError as broken:
        raise PrinterError(f"`lp` did not start: {broken}", "Look at the system's printing") from broken
    if done.returncode != 0:
        said = " ".join(done.stderr.split()) or f"status {done.returncode}"
        raise PrinterError(f"The printer queue refused the job: {said}", "Check the printer's name and queue")
    return " ".join(done.stdout.split())
