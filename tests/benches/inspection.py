"""The inspection pack as a PDF, for the demo studio and for 200 materials, while the shelf goes on answering.

    .venv/bin/python -m tests.benches.inspection

Ends with 1 when a target is missed. What is measured and how: README.md beside this.
"""

import argparse
import sys
import threading
import time
from datetime import date
from decimal import Decimal
from pathlib import Path
from statistics import median

from tests.benches.labels import MOST_OF_SHELF, over, spread
from tests.benches.serving import Studio, database, manage

KEPT_IN = Path("/tmp/stirbook-bench")  # noqa: S108 - scratch studios, made again when they are gone
YEARS = "0.2"
MATERIALS = 200
ROUNDS, REQUESTS = 5, 30
MOST_S = {"demo": 10.0, "materials": 30.0}
PAGE, PAPER = "/binder/inspection/", "/binder/inspection.pdf"


# --- in the studio's own process


def lay_demo() -> None:
    """The demo studio, in this database instead of its own."""
    from django.utils import timezone

    from studio.front import demo
    from studio.people.models import Member

    if not Member.objects.exists():
        demo.lay(timezone.now())


def fill_up() -> None:
    """Further materials with a lot and a sheet each, by the acts, until there are 200."""
    from django.utils import timezone

    from safety.operations.sheets import file_sheet
    from studio.front.demo.binder import told
    from studio.front.demo.cast import LAST_DAY, table
    from studio.materials.models import Material
    from studio.materials.operations.materials import add_material
    from studio.people.models import Member

    moved, bram = timezone.localdate() - LAST_DAY, Member.objects.get(username="history-02")
    rows = table("sheets")
    for n in range(Material.objects.count(), MATERIALS):
        row = rows[n % len(rows)]
        material = add_material(
            name=f"{row['material']} {n}",
            opening_g=Decimal(5000),
            lot_code=f"I-{n}",
            supplier=row["supplier"],
            by=bram,
        )
        said = told(row, lambda day: date.fromisoformat(day) + moved)
        file_sheet(material=material, lots=list(material.lots.all()), by=bram, **said)


# --- from outside


def studio(kept_in: Path, which: str) -> Path:
    """A scratch studio: the demo, or a synthetic one with 200 materials."""
    folder = kept_in / f"inspection-{which}"
    fresh = not database(folder).exists()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    manage(folder, "migrate", "--verbosity", "0")
    if fresh:
        print(f"Making a studio in {folder}.", flush=True)
        if which == "materials":
            manage(folder, "history", YEARS, "--verbosity", "0")
    manage(folder, "collectstatic", "--no-input", "--verbosity", "0")
    act = "lay_demo" if which == "demo" else "fill_up"
    manage(folder, "shell", "--verbosity", "0", "-c", f"from tests.benches import inspection as i; i.{act}()")
    return folder


def measured(which: str, folder: Path, rounds: int, requests: int) -> list[str]:
    """Seconds of page and paper, and the shelf while the paper is made against the shelf alone."""
    served = Studio(folder, threads=4)
    lasted, ratios = [], []
    try:
        for address in ("/shelf/", PAGE, PAPER):
            served.block(address, 2)
        page = served.block(PAGE, 5)
        for _ in range(rounds):
            quiet = [_shelf(served) for _ in range(requests)]
            taken, seconds = _while_printing(served)
            quiet += [_shelf(served) for _ in range(requests)]
            lasted.append(seconds)
            ratios.append(median(taken) / median(quiet))
        size = len(served.get(PAPER)) / 1000
    finally:
        served.stop()
    print(f"{which}: page {page.ms:.0f} ms; PDF of {size:.0f} kB in {spread(lasted)} s")
    print(f"{which}: the shelf while it is made, against alone ({median(quiet):.1f} ms): {spread(ratios)}")
    missed = over(f"seconds of the PDF, {which}", max(lasted), MOST_S[which])
    return missed + over(f"the shelf beside it, {which}", median(ratios), MOST_OF_SHELF)


def _shelf(served: Studio) -> float:
    """Milliseconds of one shelf, then a pause: a person asks, not a mill."""
    taken = served.block("/shelf/", 1).ms
    time.sleep(0.05)
    return taken


def _while_printing(served: Studio) -> tuple[list[float], float]:
    """Milliseconds of every shelf while one PDF is made, and its seconds."""
    ended: list[float] = []

    def fetch() -> None:
        served.get_beside(PAPER)
        ended.append(time.monotonic())

    printer, start, taken = threading.Thread(target=fetch), time.monotonic(), []
    printer.start()
    while printer.is_alive() or not taken:
        taken.append(_shelf(served))
    printer.join()
    if not ended:
        sys.exit("The PDF did not come, so it cannot be measured.")
    return taken, ended[0] - start


def main() -> int:
    options = argparse.ArgumentParser(description="Measures the inspection pack.")
    options.add_argument("--folder", type=Path, default=KEPT_IN, help=f"keeps studios (default {KEPT_IN})")
    options.add_argument("--rounds", type=int, default=ROUNDS, help=f"of each (default {ROUNDS})")
    options.add_argument("--requests", type=int, default=REQUESTS, help=f"in a block (default {REQUESTS})")
    told = options.parse_args()
    missed = []
    for which in MOST_S:
        folder = studio(told.folder.resolve(), which)
        missed += measured(which, folder, told.rounds, told.requests)
    print("\n".join(f"Missed: {line}" for line in missed) or "Every target is met.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
