"""Files of the data folder: named by their hash, written whole or not at all."""

import os
from pathlib import Path
from tempfile import NamedTemporaryFile


def write_whole(path: Path, content: bytes) -> None:
    """Write ``content`` beside its place and put it there; a file that is there already is left as it is."""
    if path.exists():
        return
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with NamedTemporaryFile(dir=path.parent, prefix=".", suffix=".part", delete=False) as part:
        try:
            part.write(content)
            part.flush()
            os.fsync(part.fileno())
            os.replace(part.name, path)
        except BaseException:
            Path(part.name).unlink(missing_ok=True)
            raise
