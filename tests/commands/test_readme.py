"""The README's own commands do what it says, in the order it says."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

README = Path(__file__).parents[2] / "README.md"


def test_the_truck_of_the_readme_goes_from_the_gate_to_the_ticket(tmp_path: Path) -> None:
    blocks = [block.split("```")[0] for block in README.read_text("utf-8").split("```sh\n")[1:]]
    story = next(block for block in blocks if "weigh out" in block)
    lines = [line for line in story.splitlines() if not line.startswith("PATH=")]
    label = tmp_path / "label.png"
    assert "/tmp/label.png" in story
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    said = subprocess.run(
        ["bash", "-e", "-o", "pipefail", "-c", "\n".join(lines).replace("/tmp", str(tmp_path))],
        cwd=tmp_path,
        env={"PATH": path, "XDG_DATA_HOME": str(tmp_path), "HOME": str(tmp_path), "LANG": "C.UTF-8"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert said.returncode == 0, said.stderr
    assert label.read_bytes().startswith(b"\x89PNG")
    assert "2008 Orvask Hestrow light" in said.stdout
    answer = said.stdout.split("\n 1  ", 1)[1].splitlines()[0]
    assert answer.startswith("bolts up"), "the new tag is the first answer"
    assert "79.00" in answer
    assert "check digit  3" in said.stdout
    assert "5,477.85 lb" in said.stdout, "arrival 5,620 less fluids, battery and the gear, by hand"
    assert said.stdout.rstrip().endswith("as expected")
