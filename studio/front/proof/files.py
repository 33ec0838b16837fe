"""Files kept by their hash: each is there, and is what was kept."""

import hashlib
from collections.abc import Iterator
from pathlib import Path

from buckets import pictures
from buckets.models import Photo
from safety import documents
from safety.models import LeachTest, Sheet
from studio.front.proof.problem import Problem


def problems() -> Iterator[Problem]:
    for pk, *digests in Photo.objects.values_list("pk", "digest", "small_digest"):
        for digest in digests:
            yield from _wrong(f"photo {pk}", pictures.path_of(digest), digest)
    for model in (Sheet, LeachTest):
        for row in model.objects.exclude(file_digest="").only("number", "file_digest"):
            yield from _wrong(
                f"{model._meta.verbose_name} {row}", documents.path_of(row.file_digest), row.file_digest
            )


def _wrong(whose: str, path: Path, digest: str) -> Iterator[Problem]:
    if not path.is_file():
        yield Problem(whose, f"has no file {path.name}.")
    elif _sha256(path) != digest:
        yield Problem(whose, f"has a file {path.name} that was changed.")


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
