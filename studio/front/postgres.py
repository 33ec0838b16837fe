"""A PostgreSQL of one's own for a test run: made in a scratch folder, gone afterwards."""

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from studio import system

# Nothing here outlives the run, so nothing waits for the disk.
OPTIONS = "-c listen_addresses=127.0.0.1 -c fsync=off -c synchronous_commit=off -c full_page_writes=off"


@contextmanager
def private_server() -> Iterator[str]:
    """Start a server on a free port; yields the DATABASE_URL of its database."""
    programs = system.postgres_programs()
    if programs is None:
        raise FileNotFoundError(f"PostgreSQL is not installed: {system.install_line(['postgresql'])}")
    folder = Path(tempfile.mkdtemp(prefix="stirbook-postgres-"))
    try:
        if os.geteuid() == 0:  # PostgreSQL refuses to run as root
            folder.chmod(0o755)
            shutil.chown(folder, "postgres")
        port = free_port()
        run(folder, programs / "initdb", "-D", folder / "data", "-U", "postgres", "-A", "trust",
            "-E", "UTF8", "--locale=C.UTF-8")  # fmt: skip
        run(folder, programs / "pg_ctl", "-D", folder / "data", "-w", "-l", folder / "log",
            "-o", f"-p {port} -c unix_socket_directories={folder} {OPTIONS}", "start")  # fmt: skip
        try:
            yield f"postgresql://postgres@127.0.0.1:{port}/postgres"
        finally:
            run(folder, programs / "pg_ctl", "-D", folder / "data", "-m", "immediate", "-w", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def run(folder: Path, *command: object) -> None:
    as_postgres = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    done = subprocess.run(
        [*as_postgres, *map(str, command)],
        cwd=folder,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    if done.returncode:
        raise RuntimeError(f"{command[0]} failed: {done.stdout}")


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return trial.getsockname()[1]
