"""backup and restore: nothing lost, nothing added, on either database and between them."""

import json
import os
import subprocess
import sys
import threading
import zipfile
from pathlib import Path

import pytest
from django.conf import settings as django_settings
from django.core.management import CommandError, call_command
from django.db import connection, transaction

from studio import triggers
from studio.front import backups, checking
from studio.materials.models import Movement
from studio.people.models import Counter, Entry, Member
from tests import backup_rows

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def own_studio(settings, tmp_path):
    settings.STUDIO_IS_DEMO = False
    settings.MEDIA_ROOT = tmp_path / "attachments"


def attach(name: str, content: bytes) -> None:
    path = Path(django_settings.MEDIA_ROOT) / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def empty_everything() -> None:
    with triggers.lifted():
        call_command("flush", interactive=False, verbosity=0)
    for name in backups.attachments():
        (Path(django_settings.MEDIA_ROOT) / name).unlink()


def saved(tmp_path: Path) -> Path:
    """A backup of the small studio with two attachments; the studio is empty afterwards."""
    backup_rows.fill()
    attach("sheets/frit a.pdf", b"%PDF invented")
    attach("größe.txt", b"x" * 100_000)
    file = tmp_path / "studio.zip"
    call_command("backup", str(file), verbosity=0)
    empty_everything()
    return file


def rewritten(file: Path, change) -> Path:
    """A copy of the backup with one member changed: ``change(name, content)`` gives what it then holds."""
    other = file.with_name("changed.zip")
    with zipfile.ZipFile(file) as source, zipfile.ZipFile(other, "w") as target:
        for name in source.namelist():
            target.writestr(name, change(name, source.read(name)))
    return other


def manifest_of(file: Path) -> dict:
    with zipfile.ZipFile(file) as source:
        return json.loads(source.read("manifest.json"))


def test_everything_comes_back(tmp_path, capsys):
    file = saved(tmp_path)
    assert not Member.objects.exists()
    call_command("restore", str(file))
    said = capsys.readouterr().out
    assert "and 2 attachments" in said
    assert "Proved" in said
    person = Member.objects.get(username="odile")
    assert person.check_password("clay on the wheel")
    assert person.name == "Odile Çelik-Ångström «中» 'q' \"d\" \\ \n 🪣"
    assert Entry.objects.get(act="tried").content["zweite"] == [1, 2.5, None, True, {"ü": "1,45"}]
    assert Movement.objects.get(kind="corrected").at.microsecond == 123456
    assert (Path(django_settings.MEDIA_ROOT) / "sheets/frit a.pdf").read_bytes() == b"%PDF invented"
    again = backups.back_up(tmp_path / "again.zip")
    assert again["tables"] == manifest_of(file)["tables"]
    assert again["files"] == manifest_of(file)["files"]


def test_the_manifest_counts_and_adds_up(tmp_path):
    facts = manifest_of(saved(tmp_path))["tables"]["materials.movement"]
    # 25 000 g in, 0.001 g corrected away, 1 g written off and back (backup_rows.py)
    assert facts["rows"] == 4
    assert facts["sums"]["mass_g"] == "24999.999"
    assert facts["sums"]["on_hand_after_g"] == "99998.997"


def test_only_the_owner_can_read_a_backup(tmp_path):
    assert saved(tmp_path).stat().st_mode & 0o777 == 0o600


def test_after_a_restore_history_is_guarded_and_numbers_go_on(tmp_path):
    call_command("restore", str(saved(tmp_path)), verbosity=0)
    assert triggers.missing() == []
    with pytest.raises(Exception, match=triggers.SENTENCE), transaction.atomic():
        Movement.objects.update(reason="changed")
    highest = Movement.objects.order_by("pk").last()
    newer = Movement.objects.create(
        lot=highest.lot, material=highest.material, kind="corrected", mass_g=0, on_hand_after_g="24999.999"
    )
    assert newer.pk > highest.pk


def test_a_studio_with_rows_is_never_overwritten(tmp_path):
    file = saved(tmp_path)
    Counter.objects.create(name="request", last=3)
    with pytest.raises(CommandError, match="not empty"):
        call_command("restore", str(file))
    assert not Member.objects.exists()
    assert Counter.objects.get().last == 3


def test_a_studio_with_attachments_is_never_overwritten(tmp_path):
    file = saved(tmp_path)
    attach("mine.txt", b"mine")
    with pytest.raises(CommandError, match="not empty"):
        call_command("restore", str(file))
    assert not Member.objects.exists()


def test_an_old_backup_is_never_written_over(tmp_path):
    file = saved(tmp_path)
    before = file.read_bytes()
    with pytest.raises(CommandError, match="exists already"):
        call_command("backup", str(file))
    assert file.read_bytes() == before


def test_a_backup_into_no_folder_says_so(tmp_path):
    with pytest.raises(CommandError, match="does not exist"):
        call_command("backup", str(tmp_path / "nowhere" / "file.zip"))


def change_a_mass(name: str, content: bytes) -> bytes:
    return content.replace(b'"25000.000"', b'"25001.000"') if name.endswith("movement.jsonl") else content


def lose_a_row(name: str, content: bytes) -> bytes:
    return content.split(b"\n", 1)[1] if name.endswith("signoff.jsonl") else content


def lose_the_people(name: str, content: bytes) -> bytes:
    return b"" if name.endswith("people.member.jsonl") else content


def change_a_file(name: str, content: bytes) -> bytes:
    return b"other" if name == "attachments/sheets/frit a.pdf" else content


@pytest.mark.parametrize("change", [change_a_mass, lose_a_row, lose_the_people, change_a_file])
def test_a_backup_that_does_not_prove_itself_leaves_nothing_behind(tmp_path, change):
    file = rewritten(saved(tmp_path), change)
    with pytest.raises(CommandError, match="nothing was kept"):
        call_command("restore", str(file))
    backups.refuse_unless_empty()
    assert not Member.objects.exists()
    assert backups.attachments() == []


def drop_a_column(name: str, content: bytes) -> bytes:
    if name != "manifest.json":
        return content
    manifest = json.loads(content)
    manifest["tables"]["people.member"]["columns"].remove("units")
    return json.dumps(manifest).encode()


def another_step(name: str, content: bytes) -> bytes:
    if name != "manifest.json":
        return content
    manifest = json.loads(content)
    return json.dumps({**manifest, "migrations": [*manifest["migrations"], "people 0099_later"]}).encode()


def outside(name: str, content: bytes) -> bytes:
    return content.replace(b"sheets/frit a.pdf", b"../../escaped.pdf") if name == "manifest.json" else content


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (drop_a_column, "tables that differ: people.member"),
        (another_step, "people 0099_later"),
        (outside, "outside its folder"),
        (lambda name, content: b"{}" if name == "manifest.json" else content, "manifest cannot be read"),
        (lambda name, content: b"\xff" if name == "manifest.json" else content, "manifest cannot be read"),
    ],
)
def test_a_foreign_backup_is_refused(tmp_path, change, sentence):
    file = rewritten(saved(tmp_path), change)
    with pytest.raises(CommandError, match=sentence):
        call_command("restore", str(file))
    assert not Member.objects.exists()


def test_a_damaged_or_missing_file_is_refused(tmp_path):
    file = saved(tmp_path)
    whole = file.read_bytes()
    cut, flipped = tmp_path / "cut.zip", tmp_path / "flipped.zip"
    cut.write_bytes(whole[: len(whole) // 2])
    at = whole.index(b"rows/people.member.jsonl") + 60
    flipped.write_bytes(whole[:at] + bytes([whole[at] ^ 255]) + whole[at + 1 :])
    for path, sentence in ((cut, "damaged"), (flipped, "damaged"), (tmp_path / "none.zip", "no file")):
        with pytest.raises(CommandError, match=sentence):
            call_command("restore", str(path))
    assert not Member.objects.exists()


def test_a_backup_made_while_people_write_is_of_one_moment(tmp_path):
    Counter.objects.create(name="pairs", last=0)
    stop = threading.Event()
    troubles: list[Exception] = []

    def write() -> None:
        number = 0
        try:
            while not stop.is_set():
                number += 1
                with transaction.atomic():
                    backup_rows.add_pair(number)
        except Exception as trouble:
            troubles.append(trouble)
        finally:
            connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    seen = []
    try:
        for turn in range(8):
            file = tmp_path / f"{turn}.zip"
            manifest = backups.back_up(file)
            with zipfile.ZipFile(file) as source:
                name, last = json.loads(source.read("rows/people.counter.jsonl"))[1:]
            assert name == "pairs"
            assert manifest["tables"]["people.entry"]["rows"] == last
            seen.append(last)
    finally:
        stop.set()
        writer.join()
    assert troubles == []
    assert seen == sorted(seen)
    assert seen[-1] > seen[0]  # the writer went on all the while


def manage(folder: Path, *command: str) -> str:
    """One command on a SQLite studio of its own, as a person would give it."""
    with checking.environment(STIRBOOK_DATA=str(folder), STIRBOOK_NO_VENV="1") as env:
        done = subprocess.run(
            [sys.executable, "manage.py", *command],
            cwd=django_settings.ROOT,
            env=env,
            capture_output=True,
            text=True,
        )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_studio_moves_to_sqlite_and_back(tmp_path):
    """Under PostgreSQL this carries a studio both ways between the databases."""
    file, other = saved(tmp_path), tmp_path / "other.zip"
    folder = tmp_path / "data"
    said = manage(folder, "restore", str(file))
    assert "The demo studio is set aside" in said
    assert "Proved" in said
    assert sorted(os.listdir(folder / "studio" / "attachments")) == ["größe.txt", "sheets"]
    manage(folder, "backup", str(other))
    assert manifest_of(other)["tables"] == manifest_of(file)["tables"]
    call_command("restore", str(other), verbosity=0)
    assert Member.objects.get().username == "odile"
