"""Pages against bare ones, ten years against one, dip checks against their shelf, many readings against few.

    .venv/bin/python -m tests.benches.run

Ends with 1 when a target is missed. What is measured and how: README.md beside this.
"""

import argparse
import sqlite3
import sys
import time
from contextlib import closing
from pathlib import Path
from statistics import median
from typing import Any, NamedTuple
from urllib.parse import quote

from tests.benches import readings
from tests.benches.serving import Block, Studio, database, manage

MOST_OF_SHELF, MOST_EXTRA_QUERIES = 0.5, 2
KEPT_IN = Path("/tmp/stirbook-bench")  # noqa: S108 - scratch studios, made again when they are gone
MOST_OF_BARE, MOST_OF_ONE_YEAR, MOST_QUERIES = 2.0, 1.15, 12
ROUNDS, REQUESTS = 7, 30
TEN, ONE = 10, 1
ROWS = {
    TEN: {
        "room_vessel": 64,
        "recipes_recipe": 120,
        "materials_movement": 1_000_000,
        "buckets_reading": 200_000,
    },
    ONE: {"room_vessel": 64, "recipes_recipe": 120},
}


class Page(NamedTuple):
    """One page on one studio: the real one, its bare one, or the real one made anew each time."""

    name: str
    years: int
    kind: str


Facts = dict[Page, dict[str, Any]]
Blocks = dict[Page, list[Block]]


# --- the studios


def studio_of(years: int, kept_in: Path) -> Path:
    """The folder of a synthetic studio with that many years behind it, made when it is not there whole."""
    folder = kept_in / f"years-{years}"
    lacking = lacks(folder, years)
    if lacking:
        print(f"Making a studio of {years} years in {folder}: {lacking}.", flush=True)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        database(folder).unlink(missing_ok=True)
        manage(folder, "migrate", "--verbosity", "0")
        manage(folder, "history", str(years))
        if lacking := lacks(folder, years):
            sys.exit(f"It was made, but {lacking}.")
    manage(folder, "collectstatic", "--no-input", "--verbosity", "0")
    return folder


def lacks(folder: Path, years: int) -> str:
    """What a studio kept from an earlier run lacks; empty when it can be used again."""
    if not database(folder).exists():
        return "there is none yet"
    with closing(sqlite3.connect(f"file:{database(folder)}?mode=ro", uri=True)) as rows:
        for table, wanted in ROWS[years].items():
            try:
                there = rows.execute(f"SELECT count(*) FROM {table}").fetchone()[0]  # noqa: S608 - own names
            except sqlite3.OperationalError:
                return f"it has no {table}"
            if there < wanted:
                return f"it has {there} of {wanted} {table}"
    return ""


# --- measuring


def measured(studios: dict[int, Studio], rounds: int, requests: int) -> tuple[Facts, Blocks]:
    """Blocks of every page on ten years and on one, and on ten bare and anew; each round in another order."""
    facts: Facts = {}
    for years, studio in studios.items():
        for name, address in studio.told("/bench/pages/").items():
            seen = studio.told(f"/bench/facts/?of={quote(address)}") | {"address": address}
            facts[Page(name, years, "real")] = seen
            if years == TEN:
                facts[Page(name, years, "bare")] = seen | {"address": f"/bare{address}"}
                facts[Page(name, years, "anew")] = seen
    blocks: Blocks = {page: [] for page in facts}
    order = list(facts)
    for turn in range(rounds + 1):
        for page in order:
            studio, address = studios[page.years], facts[page]["address"]
            block = studio.block(address, requests if turn else 3, anew=page.kind == "anew")
            blocks[page] += [block] if turn else []  # the first turn warms
        order = order[1:] + order[:1] if turn % 2 else order[::-1]
    return facts, blocks


def dip_checks(studio: Studio, rounds: int, requests: int) -> list[str]:
    """The dip checks of every bucket against the shelf that shows them, kept and anew; tells what misses."""
    lines, missed = [DIP_HEAD], []
    for anew in (False, True):
        ratios_, checks, pages = [], [], []
        for _ in range(rounds):
            page = studio.block("/shelf/", requests, anew=anew).ms
            found = studio.told(f"/bench/dip/?turns={requests}{'&anew' if anew else ''}")
            ratios_.append(found["ms"] / page)
            checks.append(found["ms"])
            pages.append(page)
        name = f"dip checks of {found['buckets']} buckets{', anew' if anew else ''}"
        lines.append(
            (name, str(found["queries"] // requests), spread(checks), spread(pages, 1), spread(ratios_))
        )
        missed += over(f"{name} against the shelf", median(ratios_), MOST_OF_SHELF)
        missed += over(f"queries of the {name}", found["queries"] / requests, MOST_EXTRA_QUERIES)
    show(lines)
    return missed


def many_readings(found: dict[str, Any]) -> list[str]:
    """The bucket with 5 000 readings against the same with 20; prints, tells misses."""
    blocks, facts = found["blocks"], found["facts"]
    lines = [READINGS_HEAD]
    for count in sorted(blocks):
        seen = facts[count]
        size = (str(seen["queries"]), f"{seen['bytes'] / 1000:.1f}", str(seen["cells"]))
        lines.append((f"bucket with {count} readings", *size, each(blocks[count]), "", ""))
    ratio, work = readings.ratio_of(blocks), readings.ratio_of(blocks, "cpu_ms")
    lines[-1] = (*lines[-1][:-2], spread(ratio), spread(work))
    show(lines)
    name = f"bucket with {readings.MANY} readings"
    missed = over(f"{name} against {readings.FEW}", median(ratio), readings.MOST_OF_FEW)
    return missed + over(f"queries of the {name}", facts[readings.MANY]["queries"], MOST_QUERIES)


def spread(values: list[float], places: int = 2) -> str:
    return f"{median(values):.{places}f} ({min(values):.{places}f}–{max(values):.{places}f})"


def ratios(over: list[Block], under: list[Block], of: str) -> list[float]:
    """Block by block of the same round."""
    return [getattr(a, of) / getattr(b, of) for a, b in zip(over, under, strict=True)]


HEAD = ("page", "queries", "kB", "cells", "ms", "bare ms", "ratio to bare", "anew ms")
WORK_HEAD = ("page", "work ms", "bare", "ratio of work")
DIP_HEAD = ("in the server", "extra queries", "ms", "shelf ms", "ratio to the shelf")
READINGS_HEAD = ("page", "queries", "kB", "cells", "ms", "5 000 to 20", "of work")
YEARS_HEAD = ("page", "cells 10 / 1 y", "ms, 1 year", "10 years to 1", "of work")


def report(facts: Facts, blocks: Blocks) -> list[str]:
    """Print the tables; what misses its target comes back as sentences."""
    missed, lines, work, years = [], [HEAD], [WORK_HEAD], [YEARS_HEAD]
    for name in dict.fromkeys(page.name for page in facts):
        page, page_of_one = Page(name, TEN, "real"), Page(name, ONE, "real")
        ten, one, seen = blocks[page], blocks[page_of_one], facts[page]
        bare, anew = (blocks[page._replace(kind=kind)] for kind in ("bare", "anew"))
        to_bare, to_one = ratios(ten, bare, "ms"), ratios(ten, one, "ms")
        size = (str(seen["queries"]), f"{seen['bytes'] / 1000:.1f}", str(seen["cells"]))
        lines.append((name, *size, each(ten), each(bare), spread(to_bare), each(anew)))
        worked = (f"{median(block.cpu_ms for block in these):.1f}" for these in (ten, bare))
        work.append((name, *worked, spread(ratios(ten, bare, "cpu_ms"))))
        cells = f"{seen['cells']} / {facts[page_of_one]['cells']}"
        years.append((name, cells, each(one), spread(to_one), spread(ratios(ten, one, "cpu_ms"))))
        missed += over(f"{name} against its bare page", median(to_bare), MOST_OF_BARE)
        missed += over(f"{name}, ten years against one", median(to_one), MOST_OF_ONE_YEAR)
        missed += over(f"queries of {name}", seen["queries"], MOST_QUERIES)
    for table in (lines, work, years):
        show(table)
    return missed


def each(blocks: list[Block]) -> str:
    return spread([block.ms for block in blocks], 1)


def over(what: str, value: float, most: float) -> list[str]:
    return [f"{what}: {value:.2f}, at most {most} is wanted"] if value > most else []


def show(table: list[tuple[str, ...]]) -> None:
    wide = [max(len(row[n]) for row in table) for n in range(len(table[0]))]
    print()
    for row in table:
        print("  ".join(text.ljust(width) for text, width in zip(row, wide, strict=True)).rstrip())


def main() -> int:
    options = argparse.ArgumentParser(description="Measures shelf, bucket and ask against bare pages.")
    options.add_argument(
        "--folder", type=Path, default=KEPT_IN, help=f"keeps the studios (default {KEPT_IN})"
    )
    options.add_argument("--rounds", type=int, default=ROUNDS, help=f"blocks of each page (default {ROUNDS})")
    options.add_argument("--requests", type=int, default=REQUESTS, help=f"in a block (default {REQUESTS})")
    told = options.parse_args()
    folders = {years: studio_of(years, told.folder.resolve()) for years in (TEN, ONE)}
    of_readings = readings.studios(told.folder.resolve())
    start, studios, small = time.monotonic(), {}, {}
    try:
        for years, folder in folders.items():
            studios[years] = Studio(folder)
        missed = report(*measured(studios, told.rounds, told.requests))
        missed += dip_checks(studios[TEN], told.rounds, told.requests)
        for count, folder in of_readings.items():
            small[count] = Studio(folder)
        missed += many_readings(readings.measured(small, of_readings, told.rounds, told.requests))
    finally:
        for studio in (*studios.values(), *small.values()):
            studio.stop()
    print(f"\n{told.rounds} rounds of {told.requests} requests in {time.monotonic() - start:.0f} s.")
    print("\n".join(f"Missed: {line}" for line in missed) or "Every target is met.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
