"""The first command: make what is missing, say where the studio is, become the web server."""

import hashlib
import os
import socket
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from studio import first_code, system
from studio.front import own_studio
from studio.front.demo.people import PINS
from studio.people.models import Member


class Command(BaseCommand):
    help = "Runs the studio: makes what is missing, prints the address, starts the web server."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default 127.0.0.1)")
        parser.add_argument("--port", type=int, default=8000, help="port to listen on (default 8000)")
        parser.add_argument("--empty", action="store_true", help="leave the demo: your own, empty studio")

    def handle(self, *, host: str, port: int, empty: bool, **options: Any) -> None:
        refuse_taken(host, port)
        if empty and settings.STUDIO_IS_DEMO:
            own_studio.begin()
        call_command("migrate", verbosity=0)
        gather_static_files()
        if settings.STUDIO_IS_DEMO and not Member.objects.exists():
            self.stdout.write("Laying out the demo studio …")
            self.stdout.flush()
            call_command("demo", verbosity=0)
        self.stdout.write("\n".join(greeting(host, port)))
        self.stdout.flush()
        become_server(host, port)


def refuse_taken(host: str, port: int) -> None:
    try:
        family, kind, _, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        with socket.socket(family, kind) as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            trial.bind(address)
    except (OSError, OverflowError) as error:
        raise CommandError(f"{host}:{port} cannot be used ({error}). Choose another with --port.") from error


def gather_static_files() -> None:
    """Copy, name by content and compress the static files, when they are not those of the last start."""
    digest = hashlib.sha256()
    for finder in get_finders():
        for name, storage in finder.list([]):
            digest.update(name.encode())
            digest.update(Path(storage.path(name)).read_bytes())
    stamp = settings.STATIC_ROOT / "gathered.sha256"
    if not stamp.exists() or stamp.read_text() != digest.hexdigest():
        call_command("collectstatic", interactive=False, verbosity=0)
        stamp.write_text(digest.hexdigest())


def own_address(host: str, port: int) -> str:
    return os.environ.get("STIRBOOK_URL", "").strip() or f"http://{host}:{port}"


def greeting(host: str, port: int) -> list[str]:
    address = own_address(host, port)
    lines = ["", f"Stirbook is at {address}  (Ctrl-C stops it)"]
    if settings.STUDIO_IS_DEMO:
        lines += [f"Demo studio, everything in it invented, kept in {settings.FOLDER}.", *demo_log_ins()]
        lines += ["Your own studio: start once with --empty; the demo is set aside, untouched."]
    else:
        lines += [f"Your own studio, kept in {settings.FOLDER}."]
        if not Member.objects.exists():
            lines += ["Nobody is in it yet. Open this once, and become its first manager:"]
            lines += [f"  {address}/people/first/?code={first_code.code()}"]
    if lacking := system.missing(system.FOR_PDF):
        lines += ["PDF: off, pages print from the browser instead. To switch it on:"]
        lines += [f"  {system.install_line(lacking)}"]
    else:
        lines += ["PDF: on"]
    return [*lines, ""]


def demo_log_ins() -> list[str]:
    people = Member.objects.filter(is_active=True).order_by("pk").values_list("username", "role")
    rows = [f"  {username:<12} {role}" for username, role in people]
    pins = ", ".join(f"{name} {pin}" for name, pin in PINS.items())
    return [
        f'Log in as any of these, password "{settings.DEMO_PASSWORD}":',
        *rows,
        f"As room it is the shared tablet; PINs there, invented as well: {pins}.",
    ]


def become_server(host: str, port: int) -> None:
    """The server takes this process over, so a stop signal reaches it."""
    os.environ.setdefault("STIRBOOK_URL", own_address(host, port))
    if host not in {"0.0.0.0", "::"}:  # noqa: S104 (compared, not bound)
        os.environ.setdefault("STIRBOOK_HOSTS", f"[{host}]" if ":" in host else host)
    os.chdir(settings.ROOT)
    # Threads: one that waits for a PDF, which another process makes, leaves the others for pages.
    serving = ["--interface", "wsgi", "--workers", "2", "--blocking-threads", "4", "--log-level", "warning"]
    # A worker that dies comes back; one that misses the stop signal while starting is ended after 5 s.
    lasting = ["--respawn-failed-workers", "--workers-kill-timeout", "5"]
    where = ["--host", host, "--port", str(port), "studio.wsgi:application"]
    os.execv(sys.executable, [sys.executable, "-m", "granian", *serving, *lasting, *where])
