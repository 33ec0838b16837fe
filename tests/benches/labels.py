"""Hazard labels: the builder against WeasyPrint's own time for the same HTML, memory, the shelf beside it.

    .venv/bin/python -m tests.benches.labels

Ends with 1 when a target is missed. What is measured and how: README.md beside this.
"""

import argparse
import json
import subprocess
import sys
import threading
import time
from pathlib import Path
from statistics import median
from typing import Any

from tests.benches.serving import ROOT, Studio, database, environment, manage

KEPT_IN = Path("/tmp/stirbook-bench")  # noqa: S108 - a scratch studio, made again when it is gone
YEARS = "0.2"
LABELS, MANY = 100, 200
ROUNDS, REQUESTS = 5, 30
MOST_OF_OWN, MOST_MB, MOST_OF_SHELF = 1.15, 400, 1.5
FIRST = 9_000_000  # serials and rows that no studio of this age has given out
# A fresh process that knows nothing of the studio: WeasyPrint alone, its own way of reading files.
ALONE = """
import sys, time
import weasyprint
html = sys.stdin.buffer.read().decode()
start = time.perf_counter()
weasyprint.HTML(string=html).write_pdf()
print(time.perf_counter() - start)
"""


# --- in the studio's own process


def put_in() -> None:
    """Two hundred labels of a 20 L pail with three pictograms and four data sheets, void by now."""
    from safety.models import Label
    from tests.safety.label_rows import pail

    if Label.objects.filter(on_id__gte=FIRST).count() == MANY:
        return
    rows = [pail(serial_of(number)) for number in range(MANY)]
    for number, row in enumerate(rows):
        row.on_kind, row.on_id = "buckets.fill", FIRST + number
        row.state, row.void_at = Label.State.VOID, row.printed_at
    Label.objects.filter(on_id__gte=FIRST).delete()
    Label.objects.bulk_create(rows)


def measure(rounds: int) -> None:
    """Prints as JSON: seconds of the builder and of WeasyPrint alone, round by round; peak memory in MB."""
    import resource

    from django.conf import settings
    from django.template.loader import render_to_string

    from safety.labelling.builder import Wish, build
    from safety.models import Label
    from studio import printing
    from studio.front.views.label_paper import sheet_address

    rows = list(Label.objects.filter(on_id__gte=FIRST).order_by("id")[:LABELS])

    def html() -> str:
        job = build(rows, Wish(), sheet_address)
        kinds = {page.name: page for page in job.pages}.values()
        context = {"labels": rows, "pages": job.pages, "kinds": kinds, "on_paper": True}
        return render_to_string("print/labels.html", context)

    def ours() -> float:
        printing.qr_svg.cache_clear()
        printing.warm()
        time.sleep(2)  # the process that waits has loaded what it needs
        start = time.perf_counter()
        printing.pdf(html())
        return time.perf_counter() - start

    def alone() -> float:
        page = html().replace(f'"{settings.STATIC_URL}', f'"file://{settings.STATIC_ROOT}/')
        told = subprocess.run(
            [sys.executable, "-c", ALONE], input=page.encode(), capture_output=True, check=True
        )
        return float(told.stdout)

    ours()
    peak_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    found = []
    for turn in range(rounds):
        pair = (ours(), alone()) if turn % 2 else (alone(), ours())[::-1]
        found.append(pair)
    print(json.dumps({"pairs": found, "peak_mb": peak_mb}))


def serial_of(number: int) -> str:
    return f"Q{FIRST + number}"


# --- from outside


def studio(kept_in: Path) -> Path:
    """A small scratch studio with the labels in it."""
    folder = kept_in / "labels"
    fresh = not database(folder).exists()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    manage(folder, "migrate", "--verbosity", "0")
    if fresh:
        print(f"Making a studio in {folder}.", flush=True)
        manage(folder, "history", YEARS, "--verbosity", "0")
    manage(folder, "collectstatic", "--no-input", "--verbosity", "0")
    manage(folder, "shell", "--verbosity", "0", "-c", "from tests.benches import labels; labels.put_in()")
    return folder


def against_own(folder: Path, rounds: int) -> list[str]:
    """One PDF of a hundred labels; prints, tells misses."""
    code = f"from tests.benches import labels; labels.measure({rounds})"
    asked = [sys.executable, ROOT / "manage.py", "shell", "--verbosity", "0", "-c", code]
    told = subprocess.run(asked, env=environment(folder), capture_output=True, check=True, text=True)
    found: dict[str, Any] = json.loads(told.stdout.strip().splitlines()[-1])
    ratios = [ours / alone for ours, alone in found["pairs"]]
    ours_s, alone_s = (median(column) for column in zip(*found["pairs"], strict=True))
    print(f"{LABELS} labels: {ours_s:.2f} s, WeasyPrint alone {alone_s:.2f} s, ratio {spread(ratios)}")
    print(f"peak memory of the process that prints: {found['peak_mb']:.0f} MB")
    missed = over("a hundred labels against WeasyPrint alone", median(ratios), MOST_OF_OWN)
    return missed + over("peak memory in MB", found["peak_mb"], MOST_MB)


def beside_the_shelf(folder: Path, rounds: int, requests: int) -> list[str]:
    """The shelf while two hundred labels are printed by the same server, against the shelf alone."""
    sheet = f"/labels/{','.join(serial_of(number) for number in range(MANY))}.pdf"
    served = Studio(folder, threads=4)
    ratios, lasted = [], []
    try:
        served.block("/shelf/", 5)
        for _ in range(rounds):
            quiet = [served.block("/shelf/", requests).ms]
            printer = threading.Thread(target=served.get_beside, args=(sheet,))
            start = time.monotonic()
            printer.start()
            time.sleep(0.2)
            taken = []
            while printer.is_alive():
                taken.append(served.block("/shelf/", 1).ms)
                time.sleep(0.05)  # a person, not a mill
            lasted.append(time.monotonic() - start)
            quiet.append(served.block("/shelf/", requests).ms)
            ratios.append(median(taken) / median(quiet))
            while_it = f"{len(taken)} shelves in {lasted[-1]:.1f} s, {median(taken):.1f} ms each"
            print(f"  {while_it}; alone {median(quiet):.1f} ms")
    finally:
        served.stop()
    print(
        f"the shelf while {MANY} labels are printed ({median(lasted):.1f} s), against alone: {spread(ratios)}"
    )
    return over("the shelf beside a PDF", median(ratios), MOST_OF_SHELF)


def spread(values: list[float]) -> str:
    return f"{median(values):.2f} ({min(values):.2f}–{max(values):.2f})"


def over(what: str, value: float, most: float) -> list[str]:
    return [f"{what}: {value:.2f}, at most {most} is wanted"] if value > most else []


def main() -> int:
    options = argparse.ArgumentParser(description="Measures the printing of hazard labels.")
    options.add_argument("--folder", type=Path, default=KEPT_IN, help=f"keeps the studio (default {KEPT_IN})")
    options.add_argument("--rounds", type=int, default=ROUNDS, help=f"of each (default {ROUNDS})")
    options.add_argument("--requests", type=int, default=REQUESTS, help=f"in a block (default {REQUESTS})")
    told = options.parse_args()
    folder = studio(told.folder.resolve())
    missed = against_own(folder, told.rounds) + beside_the_shelf(folder, told.rounds, told.requests)
    print("\n".join(f"Missed: {line}" for line in missed) or "Every target is met.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
