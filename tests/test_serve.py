"""serve: from nothing to a page, and a second start that changes nothing."""

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from studio import first_code, system
from studio.front import checking
from studio.front.management.commands import serve
from studio.front.postgres import free_port
from studio.people.models import Member


@contextmanager
def served(data: Path, *options: str) -> Iterator[tuple[str, str]]:
    """The command as a person gives it; yields its address and what it printed before the first answer."""
    port = free_port()
    printed = data.with_suffix(".log")
    with checking.environment(STIRBOOK_DATA=str(data), STIRBOOK_NO_VENV="1") as env, printed.open("w") as out:
        command = [sys.executable, "manage.py", "serve", "--port", str(port), *options]
        running = subprocess.Popen(command, cwd=settings.ROOT, env=env, stdout=out, stderr=out)
        try:
            wait_for(port, running, printed)
            yield f"http://127.0.0.1:{port}", printed.read_text()
        finally:
            running.send_signal(signal.SIGTERM)
            assert running.wait(timeout=20) == 0, printed.read_text()


def wait_for(port: int, running: subprocess.Popen, printed: Path) -> None:
    for _ in range(1200):
        assert running.poll() is None, printed.read_text()
        with socket.socket() as trial:
            if trial.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    pytest.fail(f"no answer within 60 s: {printed.read_text()}")


def get(address: str) -> tuple[int, str]:
    try:
        with urllib.request.urlopen(address, timeout=20) as answer:  # noqa: S310 (our own server)
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.read().decode()


def files_of(folder: Path) -> dict[str, tuple[int, int]]:
    """Every file with its time and size, without SQLite's shared memory (rebuilt at each start)."""
    return {
        str(path.relative_to(folder)): (path.stat().st_mtime_ns, path.stat().st_size)
        for path in folder.rglob("*")
        if path.is_file() and not path.name.endswith(("-shm", "-wal"))
    }


def test_an_empty_studio_is_served_from_nothing_and_again_without_a_change(tmp_path):
    data = tmp_path / "data"
    with served(data, "--empty") as (address, printed):
        assert address in printed
        link = re.search(r"(/people/first/\?code=\S+)", printed)
        assert link
        status, page = get(address + link[1])
        assert status == 200
        assert 'type="password"' in page
        status, refusal = get(address + "/people/first/?code=guessed")
        assert status == 410
        assert 'type="password"' not in refusal
        styles = re.findall(r'href="(/static/[^"]+\.css)"', page)
        assert styles
        assert re.search(r"\.[0-9a-f]{12}\.css$", styles[0])  # named by content, so it can be kept for good
        assert get(address + styles[0])[0] == 200
    before = files_of(data)
    with served(data) as (address, printed):
        assert get(address + "/people/login/")[0] == 200
        assert "Your own studio" in printed
        assert link[1] in printed  # still nobody in it, still the same code
    assert files_of(data) == before


def test_the_demo_is_served_on_a_first_run_and_set_aside_untouched(tmp_path):
    data = tmp_path / "data"
    with served(data) as (_, printed):
        assert "Demo studio" in printed
        assert settings.DEMO_PASSWORD in printed
        assert re.search(r"^  \w+ +technician$", printed, re.M)
    demo = files_of(data / "demo")
    assert "stirbook.sqlite3" in demo
    with served(data, "--empty") as (_, printed):
        assert "Nobody is in it yet" in printed
    assert files_of(data / "demo") == demo


def test_a_taken_port_is_said_at_once():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(CommandError, match="Choose another with --port"):
            call_command("serve", port=taken.getsockname()[1])


@pytest.mark.parametrize("host", ["no such host", "203.0.113.7"])
def test_an_address_that_is_not_this_machine_is_said_at_once(host):
    with pytest.raises(CommandError, match="cannot be used"):
        call_command("serve", host=host)


def test_without_pango_one_line_says_how_to_get_pdf(db, monkeypatch):
    monkeypatch.setitem(system.FOR_PDF, "libpango-1.0-0", lambda: None)
    lines = serve.greeting("127.0.0.1", 8000)
    assert "  apt-get install libpango-1.0-0" in lines
    assert "PDF: on" not in lines


def test_the_first_code_opens_once(settings, tmp_path):
    settings.FOLDER = tmp_path
    assert not first_code.matches("")
    code = first_code.code()
    assert len(code) >= 32
    assert first_code.code() == code
    assert (tmp_path / "first_code").stat().st_mode & 0o777 == 0o600
    assert first_code.matches(f" {code} ")
    assert not first_code.matches(code[:-1])
    assert not first_code.matches("ü")
    first_code.spend()
    assert not first_code.matches(code)


def test_the_first_link_is_not_printed_once_somebody_is_in(db, settings, tmp_path):
    settings.STUDIO_IS_DEMO, settings.FOLDER = False, tmp_path
    assert any("/people/first/" in line for line in serve.greeting("127.0.0.1", 8000))
    Member.objects.create(username="odile", name="Odile")
    assert not any("/people/first/" in line for line in serve.greeting("127.0.0.1", 8000))


def manage(root: Path, *arguments: str, **env: str) -> subprocess.CompletedProcess:
    clean = {k: v for k, v in os.environ.items() if not k.startswith(("STIRBOOK_", "DJANGO_"))}
    return subprocess.run(
        [sys.executable, str(root / "manage.py"), *arguments],
        env={**clean, **env},
        capture_output=True,
        text=True,
    )


@pytest.fixture
def bare_house(tmp_path):
    """manage.py and locks of two lines in a folder of their own, beside a pip that writes down its calls."""
    root = tmp_path / "house"
    (root / "studio" / "requirements").mkdir(parents=True)
    (root / "manage.py").write_text((settings.ROOT / "manage.py").read_text())
    for lock in ("run.lock", "test.lock"):
        (root / "studio" / "requirements" / lock).write_text(f"# {lock}\n")
    python = root / ".venv" / "bin" / "python"
    python.parent.mkdir(parents=True)
    python.write_text(f'#!/bin/sh\necho "$@" >> {root}/calls\n')
    python.chmod(0o755)
    return root


def calls(root: Path) -> list[str]:
    text = (root / "calls").read_text() if (root / "calls").exists() else ""
    (root / "calls").unlink(missing_ok=True)
    return text.splitlines()


def test_packages_are_installed_once_with_their_hashes_and_again_when_the_lock_changes(bare_house):
    manage(bare_house, "serve")
    pip, entered = calls(bare_house)
    assert pip.endswith(f"--require-hashes --only-binary :all: -r {bare_house}/studio/requirements/run.lock")
    assert entered == f"{bare_house}/manage.py serve"
    manage(bare_house, "serve")
    assert len(calls(bare_house)) == 1
    (bare_house / "studio" / "requirements" / "run.lock").write_text("# newer\n")
    manage(bare_house, "serve")
    assert len(calls(bare_house)) == 2


def test_the_test_packages_come_on_top_and_serve_too(bare_house):
    manage(bare_house, "serve")
    calls(bare_house)
    manage(bare_house, "check_all")
    assert "test.lock" in calls(bare_house)[0]
    manage(bare_house, "serve")
    assert calls(bare_house) == [f"{bare_house}/manage.py serve"]


def test_a_failed_install_is_not_taken_for_done(bare_house):
    python = bare_house / ".venv" / "bin" / "python"
    python.write_text(f'#!/bin/sh\necho "$@" >> {bare_house}/calls\nexit 1\n')
    failed = manage(bare_house, "serve")
    assert failed.returncode == 1
    assert "could not be installed" in failed.stderr
    assert not (bare_house / ".venv" / "installed.sha256").exists()


def test_the_running_python_is_used_when_told(bare_house):
    manage(bare_house, "serve", STIRBOOK_NO_VENV="1")
    assert calls(bare_house) == []
