"""The help reads like a manual: every command has examples that work, and closed lists are spelled out."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from collections.abc import Iterator

import click
import pytest
from click.testing import CliRunner

from app.book.tags import is_house_tag
from app.book.work import open_book
from app.cli import CONTENTS, cli
from app.commands.desk import YardCommand
from app.commands.kinds import OneOf
from app.fit.vin import read_vin
from tests.commands.desk import ROOT, environment


def commands() -> Iterator[tuple[str, click.Command]]:
    """Every command by the words that call it."""
    context = click.Context(cli)
    for name in cli.list_commands(context):
        command = cli.get_command(context, name)
        assert command is not None
        yield name, command
        if isinstance(command, click.Group):
            yield from ((f"{name} {inner}", each) for inner, each in command.commands.items())


COMMANDS = dict(commands())


def help_of(name: str) -> str:
    """The help page of a command."""
    result = CliRunner().invoke(cli, [*name.split(), "--help"], prog_name="donorbook")
    assert result.exit_code == 0
    return result.output


def examples(page: str) -> list[list[str]]:
    """The examples of a help page, as words."""
    joined = re.sub(r"\\\n\s*", "", page)
    lines = [line.strip() for line in joined.splitlines() if line.startswith("    donorbook")]
    return [shlex.split(re.sub(r"  +.*", "", line))[1:] for line in lines]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_examples_that_can_be_read(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    found = examples(help_of(name))
    assert found, "no example"
    assert all(name.split()[0] in words for words in found)
    monkeypatch.setattr(YardCommand, "invoke", lambda _self, _ctx: None)
    for words in found:
        result = CliRunner().invoke(cli, words)
        assert result.exit_code == 0, (words, result.output)


def test_the_examples_show_numbers_that_could_be_real() -> None:
    pages = " ".join(help_of(name) for name in COMMANDS)
    vins = set(re.findall(r"\b[0-9A-Z]{17}\b", pages))
    tags = set(re.findall(r"\bP(?=[A-Z]*[0-9])[0-9A-Z]{6}\b", pages))
    assert vins
    assert tags
    assert all(read_vin(vin).ok for vin in vins)
    assert all(is_house_tag(tag) for tag in tags)


def closed_lists() -> Iterator[tuple[str, str]]:
    """Each option or argument that takes a word of a closed list."""
    for name, command in COMMANDS.items():
        for param in command.params:
            if isinstance(param.type, OneOf):
                yield name, param.opts[0]


@pytest.mark.parametrize(("name", "option"), list(closed_lists()))
def test_the_words_of_a_closed_list_are_in_the_help(name: str, option: str) -> None:
    (param,) = (param for param in COMMANDS[name].params if param.opts[0] == option)
    assert isinstance(param.type, OneOf)
    page = " ".join(help_of(name).split())
    assert [word.value for word in param.type.words() if word.value not in page] == []


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_says_what_it_is_for(name: str) -> None:
    options = [param for param in COMMANDS[name].params if isinstance(param, click.Option) and not param.hidden]
    assert [option.opts[0] for option in options if not option.help] == []


def test_the_first_page_lists_every_command_under_its_seat_in_whole_sentences() -> None:
    page = CliRunner().invoke(cli, ["--help"], prog_name="donorbook").output
    places = [page.index(f"\n{heading}:") for heading in CONTENTS]
    assert places == sorted(places)
    for section in CONTENTS.values():
        for name in section:
            assert re.search(rf"^  {re.escape(name)}  +\S.*[^.]\.$", page, re.MULTILINE), name


def loaded_by(*words: str) -> set[str]:
    """The modules that a command line loads in an interpreter of its own."""
    code = (
        "import sys\nfrom app.cli import cli\ntry:\n cli(sys.argv[1:])\nfinally:\n print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *words], cwd=ROOT, env=environment(), capture_output=True, text=True, check=True
    )
    return {name.partition(".")[0] for name in done.stderr.split()}


HEAVY = {"sqlalchemy", "textual", "rich", "alembic", "PIL", "qrcode", "barcode", "numpy", "rapidfuzz", "labels"}


@pytest.mark.parametrize("words", [["--help"], ["vin", "1G4AH59H45G118341"], ["sell", "--help"], ["take-in", "--help"]])
def test_what_needs_no_book_loads_no_database(words: list[str]) -> None:
    assert not loaded_by(*words) & HEAVY


def test_a_command_loads_only_what_it_uses(tmp_path_factory: pytest.TempPathFactory) -> None:
    book = str(tmp_path_factory.mktemp("book") / "y.book")
    open_book(book).close()
    assert not loaded_by("--book", book, "donors") & (HEAVY - {"sqlalchemy"})
