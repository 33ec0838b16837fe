"""What is in a fill, as its label says it: materials with their hazard words, the strictest inherited."""

from typing import Any

Entries = list[dict[str, Any]]


def merged(*contents: Entries) -> Entries:
    """Every material of all of them once, with every hazard word known of it in any."""
    found: dict[str, list[str]] = {}
    for entry in (entry for entries in contents for entry in entries):
        known = found.setdefault(str(entry["material"]), [])
        words = (word.strip() for word in str(entry.get("words", "")).split(","))
        known += [word for word in words if word and word not in known]
    return [{"material": material, "words": ", ".join(words)} for material, words in found.items()]
