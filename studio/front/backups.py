"""Backup and restore: one zip, the same for SQLite and PostgreSQL, that proves itself when it is read back.

    manifest.json               what is in it: rows, sums and SHA-256 of every table, SHA-256 of every file
    rows/<app>.<model>.jsonl    the rows of one table, one JSON list a line, in order of their numbers
    attachments/…               the files people attached

A restore writes the rows, then reads the whole database again the way a backup does: the lines must hash
to what the manifest says. So nothing is lost, added or changed on the way, also between the databases.
"""

import hashlib
import json
import os
import shutil
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, time
from decimal import Decimal
from itertools import islice
from pathlib import Path, PurePosixPath
from typing import Any
from uuid import UUID

from django.apps import apps
from django.conf import settings
from django.core.management.color import no_style
from django.db import IntegrityError, connection, models, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from studio.errors import Refused
from studio.quantities import QuantityField

FORM = 1
AT_ONCE = 1000  # rows written by one statement


class BackupUnreadable(Refused):
    """The file is not a whole backup of Stirbook."""


class StudioNotEmpty(Refused):
    """There are rows already: a backup is never laid over a studio."""


class BackupDiffers(Refused):
    """What was read back is not what was saved; everything was undone."""


# --- tables -------------------------------------------------------------------------------------------


def tables() -> list[type[models.Model]]:
    """Every table of the studio's own apps; sessions and log-in failures are not worth keeping."""
    own = [config for config in apps.get_app_configs() if Path(config.path).is_relative_to(settings.ROOT)]
    inside = [c for c in own if ".venv" not in Path(c.path).relative_to(settings.ROOT).parts]
    found = [model for c in inside for model in c.get_models(include_auto_created=True)]
    return sorted((m for m in found if m._meta.managed), key=lambda model: model._meta.label_lower)


def columns(model: type[models.Model]) -> list[models.Field]:
    return [field for field in model._meta.concrete_fields if not field.generated]


def written(value: Any) -> Any:
    """A value as JSON holds it: exact, and the same from either database."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat() if timezone.is_aware(value) else value.isoformat()
    if isinstance(value, date | time | UUID):
        return str(value)
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, bytes | memoryview):
        return bytes(value).hex()
    return value


def lines(model: type[models.Model]) -> Iterator[tuple[bytes, list[Any]]]:
    """The rows of a table in order, each as its line and as its values."""
    names = [field.attname for field in columns(model)]
    rows = model._base_manager.order_by("pk").values_list(*names)
    for row in rows.iterator(chunk_size=AT_ONCE):
        line = json.dumps([written(value) for value in row], sort_keys=True, ensure_ascii=False)
        yield line.encode() + b"\n", list(row)


class Tally:
    """Rows, sums of the exact amounts, and SHA-256 of the lines of one table."""

    def __init__(self, model: type[models.Model]) -> None:
        self.columns = [field.attname for field in columns(model)]
        self.amounts = [i for i, f in enumerate(columns(model)) if isinstance(f, QuantityField)]
        self.rows = 0
        self.sums = [Decimal(0)] * len(self.amounts)
        self.digest = hashlib.sha256()

    def add(self, line: bytes, row: list[Any]) -> None:
        self.rows += 1
        self.digest.update(line)
        for place, i in enumerate(self.amounts):
            self.sums[place] += row[i] or 0

    def facts(self) -> dict[str, Any]:
        sums = {self.columns[i]: format(s, "f") for i, s in zip(self.amounts, self.sums, strict=True)}
        return {
            "rows": self.rows,
            "sums": sums,
            "sha256": self.digest.hexdigest(),
            "columns": self.columns,
        }


def said(manifest: dict[str, Any]) -> str:
    rows = sum(facts["rows"] for facts in manifest["tables"].values())
    return f"{rows} rows of {len(manifest['tables'])} tables and {len(manifest['files'])} attachments"


def migrations() -> list[str]:
    """The newest step of every app's tables: a backup goes back into the same ones only."""
    labels = {model._meta.app_label for model in tables()}
    applied = MigrationRecorder(connection).applied_migrations()
    return sorted(f"{app} {name}" for app, name in applied if app in labels)


# --- backup -------------------------------------------------------------------------------------------


@contextmanager
def one_moment() -> Iterator[None]:
    """Everything read inside is of one moment, while others go on writing."""
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "postgresql":
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
    else:
        with connection.cursor() as cursor:
            # Not atomic(): that takes SQLite's write lock. A plain BEGIN sees one snapshot and stops nobody.
            cursor.execute("BEGIN DEFERRED")
            try:
                yield
            finally:
                cursor.execute("ROLLBACK")


def back_up(path: Path) -> dict[str, Any]:
    """Write everything of the studio into one new file; returns its manifest."""
    if path.exists():
        raise Refused(f"{path} exists already. Name a new file; an old backup is never written over.")
    part = path.with_name(path.name + ".part")
    try:
        with open(os.open(part, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600), "w+b") as raw:
            with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as target:
                manifest = pack(target)
            raw.flush()
            os.fsync(raw.fileno())
        os.replace(part, path)
    except FileNotFoundError as error:
        raise Refused(f"The folder {path.parent} does not exist.") from error
    finally:
        part.unlink(missing_ok=True)
    return manifest


def pack(target: zipfile.ZipFile) -> dict[str, Any]:
    facts: dict[str, Any] = {}
    with one_moment():
        applied = migrations()
        for model in tables():
            tally = Tally(model)
            with target.open(rows_name(model), "w", force_zip64=True) as out:
                for line, row in lines(model):
                    tally.add(line, row)
                    out.write(line)
            facts[model._meta.label_lower] = tally.facts()
    # Files are only ever added, so those read after the moment hold all that its rows speak of.
    files = {name: add_file(target, name) for name in attachments()}
    manifest = {
        "form": FORM,
        "made_at": timezone.now().isoformat(timespec="seconds"),
        "migrations": applied,
        "tables": facts,
        "files": files,
    }
    target.writestr("manifest.json", json.dumps(manifest, indent=1))
    return manifest


def rows_name(model: type[models.Model]) -> str:
    return f"rows/{model._meta.label_lower}.jsonl"


def attachments() -> list[str]:
    folder = Path(settings.MEDIA_ROOT)
    found = folder.rglob("*") if folder.is_dir() else ()
    return sorted(str(path.relative_to(folder)) for path in found if path.is_file())


def add_file(target: zipfile.ZipFile, name: str) -> str:
    path = Path(settings.MEDIA_ROOT) / name
    target.write(path, f"attachments/{name}")
    return sha256_of(path)


def sha256_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


# --- restore ------------------------------------------------------------------------------------------


def read_manifest(source: zipfile.ZipFile) -> dict[str, Any]:
    """What a backup says of itself, refused unless this Stirbook has exactly its tables."""
    try:
        manifest = json.loads(source.read("manifest.json"))
        form, known = manifest["form"], manifest["tables"]
    except (KeyError, TypeError, ValueError, zipfile.BadZipFile) as error:
        raise BackupUnreadable("This file is no backup of Stirbook: its manifest cannot be read.") from error
    if form != FORM:
        raise BackupUnreadable(f"This backup has form {form}; this Stirbook reads form {FORM}.")
    here = {model._meta.label_lower: [field.attname for field in columns(model)] for model in tables()}
    there = {name: facts["columns"] for name, facts in known.items()}
    if here != there:
        differing = sorted(name for name in {*here, *there} if here.get(name) != there.get(name))
        raise BackupUnreadable(
            "This backup was made by another version of Stirbook "
            f"(tables that differ: {', '.join(differing)}). Restore it with the version "
            "that made it, then bring that one up to date."
        )
    return manifest


def check_whole(path: Path) -> None:
    """Refuse a file that cannot be restored, before anything is touched."""
    with opened(path) as source:
        read_manifest(source)
        if broken := source.testzip():
            raise BackupUnreadable(f"The backup is damaged: {broken} does not match its checksum.")


@contextmanager
def opened(path: Path) -> Iterator[zipfile.ZipFile]:
    try:
        with zipfile.ZipFile(path) as source:
            yield source
    except FileNotFoundError as error:
        raise BackupUnreadable(f"There is no file {path}.") from error
    except (zipfile.BadZipFile, IsADirectoryError) as error:
        raise BackupUnreadable(f"{path} is no backup of Stirbook, or it is damaged.") from error


def restore(path: Path) -> dict[str, Any]:
    """Load a backup into an empty studio and prove that all of it arrived; returns its manifest."""
    with opened(path) as source:
        manifest = read_manifest(source)
        if manifest["migrations"] != (here := migrations()):
            raise BackupUnreadable(
                "This backup was made by another version of Stirbook "
                f"(its steps: {steps(manifest['migrations'], here)}). "
                "Restore it with the version that made it, then bring that one up to date."
            )
        refuse_unless_empty()
        with put_files(source, manifest["files"]), transaction.atomic():
            for model in tables():
                load(source, model)
            reset_numbers()
            prove_tables(manifest["tables"])
    return manifest


def steps(there: list[str], here: list[str]) -> str:
    return ", ".join(sorted(set(there) ^ set(here))) or "the same in another order"


def refuse_unless_empty() -> None:
    held = [model._meta.verbose_name_plural for model in tables() if model._base_manager.exists()]
    if held or attachments():
        what = ", ".join(map(str, held)) or "attachments"
        raise StudioNotEmpty(
            f"This studio is not empty ({what}). A backup is restored into an empty one only: "
            "name a new folder with STIRBOOK_DATA, or an empty database with DATABASE_URL."
        )


def load(source: zipfile.ZipFile, model: type[models.Model]) -> None:
    """Insert the rows of one table. Inserting is what history allows, so its triggers stay on."""
    fields = columns(model)
    name = connection.ops.quote_name
    insert = (
        f"INSERT INTO {name(model._meta.db_table)} ({', '.join(name(str(f.column)) for f in fields)}) "  # noqa: S608
        f"VALUES ({', '.join(['%s'] * len(fields))})"
    )
    with source.open(rows_name(model)) as file, connection.cursor() as cursor:
        rows = ([stored(f, v) for f, v in zip(fields, json.loads(line), strict=True)] for line in file)
        while some := list(islice(rows, AT_ONCE)):
            cursor.executemany(insert, some)


def stored(field: models.Field, value: Any) -> Any:
    """A value as this database takes it."""
    return field.get_db_prep_save(read(field, value), connection)


def read(field: models.Field, value: Any) -> Any:
    """A value as the model holds it; JSON columns are JSON already."""
    if value is None or isinstance(field, models.JSONField):
        return value
    if isinstance(field, models.BinaryField):
        return bytes.fromhex(value)
    if isinstance(field, models.ForeignKey):
        return field.target_field.to_python(value)
    return field.to_python(value)


def reset_numbers() -> None:
    """New rows go on after the highest number (PostgreSQL counts apart from its rows)."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), tables()):
            cursor.execute(statement)


def prove_tables(expected: dict[str, Any]) -> None:
    for model in tables():
        tally = Tally(model)
        for line, row in lines(model):
            tally.add(line, row)
        found, wanted = tally.facts(), expected[model._meta.label_lower]
        for fact in ("rows", "sums", "sha256"):
            if found[fact] != wanted[fact]:
                name = model._meta.label_lower
                back = f"{name} came back with {fact} {found[fact]}, saved were {wanted[fact]}"
                raise BackupDiffers(f"{back}; nothing was kept.")


@contextmanager
def put_files(source: zipfile.ZipFile, files: dict[str, str]) -> Iterator[None]:
    """Put the attachments back and prove each; take them away again when the rows are refused."""
    folder = Path(settings.MEDIA_ROOT)
    put: list[Path] = []
    try:
        for name, digest in files.items():
            if PurePosixPath(name).is_absolute() or ".." in PurePosixPath(name).parts:
                raise BackupUnreadable(f"The backup names a file outside its folder: {name}.")
            path = folder / name
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            put.append(path)
            with source.open(f"attachments/{name}") as saved, path.open("xb") as out:
                shutil.copyfileobj(saved, out)
            if sha256_of(path) != digest:
                raise BackupDiffers(f"The file {name} came back changed; nothing was kept.")
        yield
    except BaseException as error:
        for path in put:
            path.unlink(missing_ok=True)
        if isinstance(error, IntegrityError):
            raise BackupDiffers("The rows of this backup do not fit together; nothing was kept.") from error
        raise
