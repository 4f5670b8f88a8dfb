"""The house's own rules: arrows point one way, the computation stands alone, nothing grows too long."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
FOLDERS = ("app", "labels", "migrations", "seed_demo", "examples")
MOST_LINES_OF_A_FILE = 400
MOST_LINES_OF_A_FUNCTION = 50
# A migration is a list of what was made on one day; it is never read as a story.
LISTS = ROOT / "migrations" / "versions"


def sources() -> list[Path]:
    """Every file of the program, without the tests and the migrations' lists."""
    found = [file for folder in FOLDERS for file in sorted((ROOT / folder).rglob("*.py")) if LISTS not in file.parents]
    assert len(found) > 50
    return found


def loaded_by(*modules: str) -> set[str]:
    """What is loaded in a fresh interpreter after these imports and was not before them."""
    program = (
        "import importlib, json, sys\n"
        "before = set(sys.modules)\n"
        "for name in sys.argv[1:]: importlib.import_module(name)\n"
        "print(json.dumps(sorted(set(sys.modules) - before)))"
    )
    run = [sys.executable, "-c", program, *modules]
    done = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 0, done.stderr
    return set(json.loads(done.stdout))


def packages_of(modules: set[str]) -> set[str]:
    """The top-level names of modules."""
    return {name.partition(".")[0] for name in modules}


def modules_under(folder: str) -> list[str]:
    """The import names of all modules under a folder."""
    files = sorted((ROOT / folder).rglob("*.py"))
    parts = [file.relative_to(ROOT).with_suffix("").parts for file in files]
    return [".".join(each[:-1] if each[-1] == "__init__" else each) for each in parts]


def test_arrows_point_one_way() -> None:
    program = Path(sys.executable).with_name("lint-imports")
    if not program.exists():
        pytest.fail("lint-imports is not installed: pip install -e '.[dev]'")
    done = subprocess.run([program, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_computation_stands_alone() -> None:
    loaded = loaded_by(*modules_under("app/fit"))
    assert {name for name in loaded if name.startswith("app")} <= {"app", "app.errors", *modules_under("app/fit")}
    own = {"app", "numpy", "scipy"}
    assert {name for name in packages_of(loaded) if name not in sys.stdlib_module_names} <= own
    assert not packages_of(loaded) & {"sqlalchemy", "textual", "PIL", "click", "labels", "sqlite3"}


def test_labels_know_nothing_of_the_application() -> None:
    loaded = loaded_by(*modules_under("labels"))
    assert not packages_of(loaded) & {"app", "migrations", "seed_demo", "sqlalchemy", "textual", "click", "alembic"}


def test_the_first_screen_waits_for_nothing_it_does_not_show() -> None:
    loaded = packages_of(loaded_by("app.screens.app"))
    assert not loaded & {"alembic", "numpy", "PIL", "qrcode", "barcode", "rapidfuzz", "seed_demo", "migrations"}


def test_the_book_needs_no_screen_and_no_command() -> None:
    loaded = loaded_by(*modules_under("app/book"))
    assert not packages_of(loaded) & {"textual", "click", "seed_demo"}
    assert not {name for name in loaded if name.startswith(("app.screens", "app.commands", "app.cli"))}


def test_no_file_is_longer_than_a_reader_can_hold() -> None:
    lengths = {str(file.relative_to(ROOT)): len(file.read_text().splitlines()) for file in sources()}
    assert {name: lines for name, lines in lengths.items() if lines > MOST_LINES_OF_A_FILE} == {}


def functions(file: Path) -> Iterator[tuple[str, int]]:
    """Each function of a file with its length in lines, decorators left out."""
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert node.end_lineno is not None
            yield f"{file.relative_to(ROOT)}:{node.lineno} {node.name}", node.end_lineno - node.lineno + 1


def test_no_function_is_longer_than_a_page_and_nine_in_ten_are_short() -> None:
    lengths = dict(each for file in sources() for each in functions(file))
    assert {name: lines for name, lines in lengths.items() if lines > MOST_LINES_OF_A_FUNCTION} == {}
    short = sum(lines <= 20 for lines in lengths.values())
    assert short >= 0.9 * len(lengths), f"{short} of {len(lengths)} functions have at most 20 lines"


def test_every_module_class_and_public_function_says_what_it_is_for() -> None:
    silent = []
    for file in sources():
        tree = ast.parse(file.read_text())
        if tree.body and ast.get_docstring(tree) is None:
            silent.append(str(file.relative_to(ROOT)))
        for node in tree.body:
            if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                continue
            if not node.name.startswith("_") and ast.get_docstring(node) is None:
                silent.append(f"{file.relative_to(ROOT)}:{node.lineno} {node.name}")
    assert silent == []


def test_no_error_is_swallowed_whole() -> None:
    broad = [
        f"{file.relative_to(ROOT)}:{node.lineno}"
        for file in sources()
        for node in ast.walk(ast.parse(file.read_text()))
        if isinstance(node, ast.ExceptHandler)
        and (node.type is None or (isinstance(node.type, ast.Name) and node.type.id in ("Exception", "BaseException")))
    ]
    assert broad == []
