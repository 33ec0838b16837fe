"""A studio behind the web server, one worker, on this machine alone; and how long its pages take."""

import http.client
import json
import os
import socket
import subprocess
import sys
import time
from pathlib import Path
from statistics import median
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
LOOPBACK = "127.0.0.1"
STARTS_WITHIN_S = 60
SERVER = ("--interface", "wsgi", "--workers", "1", "--log-level", "warning")


def environment(folder: Path) -> dict[str, str]:
    """Of a studio kept in ``folder``, a scratch one of its own."""
    return {
        **os.environ,
        "STIRBOOK_NO_VENV": "1",
        "STIRBOOK_DATA": str(folder),
        "DATABASE_URL": f"sqlite://{database(folder)}",
        "DJANGO_SETTINGS_MODULE": "tests.benches.settings",
    }


def database(folder: Path) -> Path:
    return folder / "history.sqlite3"


def manage(folder: Path, *command: str) -> None:
    """One command of manage.py on the studio in ``folder``."""
    subprocess.run([sys.executable, ROOT / "manage.py", *command], env=environment(folder), check=True)


class Block(NamedTuple):
    """Some requests in a row, per request: milliseconds until the answer was read (the median one), and
    milliseconds the server's process worked (the mean)."""

    ms: float
    cpu_ms: float


class Studio:
    """A served studio. Signs in as a technician, asks for pages one after the other on one connection."""

    def __init__(self, folder: Path, *, threads: int = 1) -> None:
        with socket.create_server((LOOPBACK, 0)) as free:
            self.port = free.getsockname()[1]
        where = ["--host", LOOPBACK, "--port", str(self.port), "studio.wsgi:application"]
        how = [*SERVER, "--blocking-threads", str(threads)]
        self.server = subprocess.Popen(
            [sys.executable, "-m", "granian", *how, *where], cwd=ROOT, env=environment(folder)
        )
        self.cookies = ""
        self._wait()
        self.line = http.client.HTTPConnection(LOOPBACK, self.port)
        self._sign_in()

    def _wait(self) -> None:
        until = time.monotonic() + STARTS_WITHIN_S
        while time.monotonic() < until and self.server.poll() is None:
            try:
                return socket.create_connection((LOOPBACK, self.port), timeout=1).close()
            except OSError:
                time.sleep(0.2)
        self.stop()
        sys.exit("The server did not start: its reason stands above.")

    def _sign_in(self) -> None:
        answer, _ = self._ask("/bench/in/")
        self.cookies = "; ".join(line.split(";")[0] for line in answer.headers.get_all("Set-Cookie", []))

    def stop(self) -> None:
        self.server.terminate()
        self.server.wait()

    def get(self, address: str) -> bytes:
        return self._ask(address)[1]

    def get_beside(self, address: str) -> bytes:
        """The same on a connection of its own, so that another thread may ask."""
        line = http.client.HTTPConnection(LOOPBACK, self.port)
        line.request("GET", address, headers={"Cookie": self.cookies})
        answer = line.getresponse()
        content = answer.read()
        line.close()
        if answer.status != 200:
            sys.exit(f"{address} answers {answer.status}, so it cannot be measured.")
        return content

    def _ask(self, address: str) -> tuple[http.client.HTTPResponse, bytes]:
        """The answer, which has to be 200."""
        self.line.request("GET", address, headers={"Cookie": self.cookies} if self.cookies else {})
        answer = self.line.getresponse()
        content = answer.read()
        if answer.status != 200:
            sys.exit(f"{address} answers {answer.status}, so it cannot be measured.")
        return answer, content

    def told(self, address: str) -> dict[str, Any]:
        return json.loads(self.get(address))

    def block(self, address: str, requests: int, *, anew: bool = False) -> Block:
        """``anew``: before each request the pages forget what they have kept of earlier answers."""
        taken = []
        worked = self._cpu_ns()
        for _ in range(requests):
            if anew:
                self.get("/bench/forget/")
            start = time.perf_counter_ns()
            self.get(address)
            taken.append(time.perf_counter_ns() - start)
        return Block(ms=median(taken) / 1e6, cpu_ms=(self._cpu_ns() - worked) / requests / 1e6)

    def _cpu_ns(self) -> int:
        """Time on a processor so far, of the server and its worker."""
        children = Path(f"/proc/{self.server.pid}/task/{self.server.pid}/children").read_text().split()
        tasks = [t for pid in (self.server.pid, *children) for t in Path(f"/proc/{pid}/task").iterdir()]
        return sum(int((task / "schedstat").read_text().split()[0]) for task in tasks)
