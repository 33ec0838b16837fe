"""What the working label of a batch says: PDFs are made from this copy alone."""

from typing import Any

from batches.models import Batch


def working_label_content(batch: Batch) -> dict[str, Any]:
    """Batch, glaze, "slaking, do not dip" and cautions, for the bucket while it is being made."""
    return {
        "glaze": batch.copy["name"],
        "version": batch.copy["version"],
        "cone": batch.copy["cone"],
        "atmosphere": batch.copy["atmosphere"],
        "batch": batch.number,
        "state": "slaking, do not dip",
        "capacity_l": f"{batch.vessel.brim_l():.1f}" if batch.vessel else "20",
        "contents": [
            {"material": line["name"], "words": line["hazard_words"]} for line in batch.copy["lines"]
        ],
    }
