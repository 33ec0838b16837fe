"""Two leach tests of the demo studio by an invented laboratory: one counts, one ended with a new lot.

Figures are invented. Slate Hour's test ends with lot CO-07, whose cobalt carbonate came after it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Any

from safety.documents import document, write
from safety.operations.contact import Report, TypedResult, record_leach_test
from studio.front.demo.cast import Cast, Event
from studio.front.demo.papers import pdf

LABORATORY = "Fernhill Testing (invented)"


@dataclass(frozen=True, kw_only=True)
class Leached:
    """One report. ``found``: mg/L by element, a result a piece; beginning with < it is below detection."""

    glaze: str
    batch: str
    recorded_on: str
    reported_on: str
    number: str
    pieces: dict[str, Any]
    found: dict[str, tuple[str, ...]]


REPORTS = (
    Leached(
        glaze="Slate Hour",
        batch="",
        recorded_on="2025-11-24",
        reported_on="2025-11-20",
        number="FT-2207",
        pieces={"use": "tableware", "depth_mm": Decimal(62), "volume_ml": Decimal(640), "layers": "one coat"},
        found={
            "Pb": ("<0.02",) * 6,
            "Cd": ("<0.005",) * 6,
            "Co": ("0.31", "0.28", "0.44", "0.36", "0.30", "0.41"),
        },
    ),
    Leached(
        glaze="Linseed",
        batch="B-0119",
        recorded_on="2026-02-27",
        reported_on="2026-02-25",
        number="FT-2391",
        pieces={"use": "cup", "depth_mm": Decimal(85), "volume_ml": Decimal(330), "layers": "one coat"},
        found={"Pb": ("0.03", "<0.02", "<0.02", "0.02", "<0.02", "<0.02"), "Cd": ("<0.005",) * 6},
    ),
)


def events(cast: Cast) -> Iterator[Event]:
    for report in REPORTS:
        yield cast.at(report.recorded_on, "09:50"), partial(_record, cast, report)


def _record(cast: Cast, told: Leached) -> None:
    paper = document(pdf(f"Report {told.number} (invented)", _paper(told)))
    write(paper)  # whether or not the demo is kept: the same file each time, so nothing piles up
    record_leach_test(
        version=cast.recipe(told.glaze).versions.get(),
        report=Report(
            clay="buff stoneware",
            firing="cone 6, oxidation, kiln Gull",
            batch=told.batch,
            laboratory=LABORATORY,
            report_number=told.number,
            reported_on=cast.day(told.reported_on),
            method="ISO 6486-1",
            temperature_c=Decimal(22),
            pieces=6,
            limit_set="EU 84/500",
            **told.pieces,
        ),
        results=[
            TypedResult(
                piece=piece,
                element=element,
                value=Decimal(value.lstrip("<")),
                unit="mg/L",
                below=value.startswith("<"),
            )
            for element, values in told.found.items()
            for piece, value in enumerate(values, 1)
        ],
        document=paper,
        by=cast.person("Bram"),
        at=cast.at(told.recorded_on, "09:50"),
    )


def _paper(told: Leached) -> Iterator[str]:
    yield f"{LABORATORY}. Everything in this report is invented; do not rely on it."
    yield f"{told.glaze} on buff stoneware, cone 6. ISO 6486-1: acetic acid 4 %, 24 h at 22 °C, six pieces."
    for element, values in told.found.items():
        yield f"{element}: {', '.join(values)} mg/L."
