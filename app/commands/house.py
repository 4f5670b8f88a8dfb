"""The root of the commands: imports a command when it is asked for, and tells every error in one line."""

from __future__ import annotations

import json
from collections.abc import Mapping, MutableMapping
from difflib import get_close_matches
from importlib import import_module
from typing import Any

import click

from app.commands.records import record
from app.commands.show import plain
from app.errors import BadInput, YardError

STOPPED = 130
"""Exit status after Ctrl-C: 128 and the number of the signal."""

READER_LEFT = 141
"""Exit status when whoever read the output went away, as the shell reports it for any program."""

_JSON = "donorbook.json"


LISTS = {"part": "parts", "model": "models", "who": "people", "place": "places", "vehicle": "donors"}
"""By the place of an error: the command that lists what may stand there."""


def _where_to_look(error: YardError) -> str:
    unknown = error.kind in ("not_found", "bad_input") and error.place in LISTS
    # What is no vehicle of the customer's is none of the models; the yard's own are named by their numbers.
    listing = "models" if (error.place, error.kind) == ("vehicle", "bad_input") else LISTS.get(error.place, "")
    return f" See: donorbook {listing}." if unknown else ""


class Told(click.ClickException):
    """An error on its way to the user: one line on stderr, or an object on stdout with --json."""

    exit_code = 2

    def __init__(self, error: YardError, as_json: bool) -> None:
        super().__init__(error.in_one_line() + _where_to_look(error))
        self.error = error
        self.as_json = as_json

    def show(self, file: Any = None) -> None:
        """Say it."""
        if self.as_json:
            click.echo(json.dumps({"error": record(self.error.as_record())}, ensure_ascii=False, indent=2), file=file)
        else:
            click.echo(f"donorbook: {plain(self.message)}", err=True, file=file)


class Stopped(Told):
    """Not an error: somebody stopped it."""

    exit_code = STOPPED


def told(error: YardError, as_json: bool) -> Told:
    """The way an error is told, with its exit status."""
    return (Stopped if error.kind == "stopped" else Told)(error, as_json)


class Usage(BadInput):
    """A command line that cannot be read."""

    kind = "usage"

    def __init__(self, error: click.UsageError) -> None:
        path = error.ctx.command_path if error.ctx is not None else "donorbook"
        super().__init__(error.format_message().rstrip("."), f"See: {path} --help.")


class Interrupted(YardError):
    """Ctrl-C."""

    kind = "stopped"

    def __init__(self) -> None:
        super().__init__("stopped", "What was not finished was not done.")


class MachineTrouble(YardError):
    """A file that cannot be read or written, a disk that is full."""

    kind = "machine"

    def __init__(self, error: OSError) -> None:
        place = str(error.filename) if error.filename else ""
        super().__init__(error.strerror or str(error), "Look at the disk and its rights, then try again.", place=place)


class House(click.Group):
    """A group whose commands are imported by name, from headings in the order of the help page.

    `contents` is heading to command name to "module:attribute".
    """

    def __init__(self, *args: Any, contents: Mapping[str, Mapping[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.contents = contents
        self._where = {name: where for section in contents.values() for name, where in section.items()}

    def list_commands(self, _ctx: click.Context) -> list[str]:
        """All command names, in the order of the help page."""
        return list(self._where)

    def get_command(self, _ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of a name, imported now."""
        where = self._where.get(cmd_name)
        if where is None:
            return None
        module, attribute = where.split(":")
        found = getattr(import_module(module), attribute)
        assert isinstance(found, click.Command)
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command; a name near to one of ours is named in the error."""
        name = args[0]
        if name not in self._where and not name.startswith("-"):
            near = get_close_matches(name, self._where, n=2)
            perhaps = f", perhaps {' or '.join(near)}" if near else ""
            ctx.fail(f"there is no command {name!r}{perhaps}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The commands under the seat they are for."""
        for heading, section in self.contents.items():
            lines = []
            for name in section:
                command = self.get_command(ctx, name)
                lines.append((name, command.get_short_help_str(64) if command else ""))
            with formatter.section(heading):
                formatter.write_dl(lines, col_max=16)

    def make_context(
        self, info_name: str | None, args: list[str], parent: click.Context | None = None, **extra: Any
    ) -> click.Context:
        """Read the options before the command."""
        as_json = "--json" in args
        try:
            _refuse_unreadable(args)
            ctx = super().make_context(info_name, args, parent, **extra)
        except click.UsageError as error:
            raise told(Usage(error), as_json) from error
        except YardError as error:
            raise told(error, as_json) from error
        remember(ctx.meta, as_json)
        return ctx

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; whatever the yard refuses is told in one line."""
        as_json = bool(ctx.meta[_JSON])
        try:
            return super().invoke(ctx)
        except click.UsageError as error:
            raise told(Usage(error), as_json) from error
        except YardError as error:
            raise told(error, as_json) from error
        except KeyboardInterrupt as error:
            raise told(Interrupted(), as_json) from error
        except BrokenPipeError:
            raise SystemExit(READER_LEFT) from None
        except OSError as error:
            raise told(MachineTrouble(error), as_json) from error


def remember(meta: MutableMapping[str, Any], as_json: bool) -> None:
    """Keep for the error's sake whether --json was on the line, wherever it stood."""
    meta[_JSON] = as_json


def _refuse_unreadable(args: list[str]) -> None:
    """Bytes that are no UTF-8 reach Python as lone surrogates, which no book can keep."""
    for number, arg in enumerate(args, start=1):
        if any("\ud800" <= letter <= "\udfff" for letter in arg):
            raise BadInput(f"argument {number} is not text in UTF-8", "Type it again.")
