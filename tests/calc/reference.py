"""The printed tables of the slurry reference, as the check-value file carries them."""

import json
from pathlib import Path

REFERENCE = Path(__file__).parent.parent / "reference"


def table(name: str, file: str = "slurry_checks.json") -> list[dict[str, object]]:
    """One table of a check-value file, a dict a row."""
    content = json.loads((REFERENCE / file).read_text(encoding="utf-8"))["tables"][name]
    return [dict(zip(content["columns"], row, strict=True)) for row in content["rows"]]
