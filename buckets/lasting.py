"""Entries that no second row can take back: glaze went from bucket to bucket, or a bucket was carried."""

from buckets.models import Care

TWO_BUCKETS = "two buckets"  # how a fill was topped up that came of two: its first entry


def lasts(kind: str, how: str = "") -> bool:
    """Whether an entry of this kind stays, whatever was wrong with it."""
    return kind in (Care.Kind.SPLIT, Care.Kind.MOVED) or how == TWO_BUCKETS
