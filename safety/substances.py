"""The table of substances of a glaze room: usual classes with their source and its mark.

It speaks where no safety data sheet does, and never overrules a stricter one. Harmonised entries of CLP
Annex VI are in it as what the EU asks for at least.
"""

import csv
import difflib
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Literal

from safety.calc.hazards import ROUTES, Hazards, Limit

FILE = Path(__file__).parent / "data" / "substances.csv"
Kind = Literal["harmonised", "seed"]
# US suppliers class crystalline silica as a carcinogen, too: quartz [O: one sheet], cristobalite [M].
US_ADDS = {"14808-60-7": "[O: one US sheet]", "14464-46-1": "[M]"}
_LIMIT = re.compile(
    r"(?P<cls>(?:STOT (?:RE|SE)|Carc\.|Repr\.|Muta\.|Skin \w+\.|Eye \w+\.) \d[AB]?)(?: H\d{3}\w*)? "
    r"(?:C>=(?P<from>[\d.]+)|(?P<low>[\d.]+)<=C)"
)


@dataclass(frozen=True, kw_only=True)
class TableSubstance:
    """One row: the material it is met as, the substance, its classes, and who says so.

    ``status`` is the mark of the source: [O] opened, [M] from memory. ``stricter_elsewhere`` is for reading.
    """

    material: str
    name: str
    cas: str
    kind: Kind
    hazards: Hazards
    basis: str
    status: str
    note: str
    stricter_elsewhere: str


@cache
def table() -> tuple[TableSubstance, ...]:
    """Every row, in the order of the file."""
    with FILE.open(newline="", encoding="utf-8") as opened:
        return tuple(_row(said) for said in csv.DictReader(opened))


def _row(said: dict[str, str]) -> TableSubstance:
    group_of_lead = "lead compounds group" in said["basis"]
    harmonised = said["basis"].startswith("CLP Annex VI harmonised") and not group_of_lead
    kind: Kind = "harmonised" if harmonised else "seed"
    return TableSubstance(
        material=said["material"],
        name=said["substance"],
        cas=said["CAS"],
        kind=kind,
        hazards=_hazards(said).by(f"our table: {said['basis']}", said["status"]),
        basis=said["basis"],
        status=said["status"],
        note=said["note"],
        stricter_elsewhere=said["stricter_elsewhere"],
    )


def _hazards(said: dict[str, str]) -> Hazards:
    classes = tuple(x.strip() for x in said["ghs_classes"].split(";") if x.strip() != "not classified")
    codes = [code.strip() for code in said["h_codes"].split(";")]
    ate = {
        "oral": said["ate_oral_mg_kg"],
        "dermal": said["ate_dermal"],
        "inhal_dust": said["ate_inhal_dust_mg_L"],
    }
    return Hazards(
        stated="classes" if classes else "not hazardous",
        classes=classes,
        ate={route: Decimal(value) for route, value in ate.items() if value},
        unknown_acute=ROUTES if "toxicity UNKNOWN" in said["note"] else (),
        m_acute=int(said["m_factor_acute"]) if said["m_factor_acute"] else None,
        m_chronic=int(said["m_factor_chronic"]) if said["m_factor_chronic"] else None,
        limits=_limits(said["specific_conc_limits"]),
        sum_group=_group(said),
        note1_fraction=Decimal(said["note1_element_fraction"]) if said["note1_element_fraction"] else None,
        repr_effects=next((code[4:] for code in codes if code.startswith(("H360", "H361"))), ""),
        carc_inhalation_only="H350i" in codes,
        stot_se3="resp" if "H335" in said["h_codes"] + said["specific_conc_limits"] else "",
        organ="lungs" if _silica(said) else "",
    )


def _silica(said: dict[str, str]) -> bool:
    return "fine fraction" in said["substance"]


def _group(said: dict[str, str]) -> str:
    if _silica(said):
        return "crystalline silica"
    return "boron" if "Note 11" in said["specific_conc_limits"] else ""


def _limits(text: str) -> tuple[Limit, ...]:
    if "industry agreement" in text:  # the generic limits, on the fine fraction
        return ()
    return tuple(
        Limit(cls=found["cls"], min_pct=Decimal(found["from"] or found["low"]))
        for found in _LIMIT.finditer(text)
    )


def by_cas(cas: str, law: str = "EU") -> tuple[TableSubstance, ...]:
    """What the table says of a number; nothing where one number stands for things of different classes.

    (65997-18-4 is every frit, one with lead among them: a person says which it is.)
    """
    rows = [row for row in table() if cas and row.cas == cas]
    if len({(row.hazards.classes, row.hazards.unknown_acute) for row in rows}) > 1:
        return ()
    return tuple(_under(row, law) for row in rows)


def _under(row: TableSubstance, law: str) -> TableSubstance:
    if law != "US" or row.cas not in US_ADDS:
        return row
    classes = ("Carc. 1A", *row.hazards.classes)
    hazards = replace(row.hazards, classes=classes, carc_inhalation_only=True)
    source = f"{row.hazards.source}; US suppliers add Carc. 1A"
    said = hazards.by(source, f"{row.status}; {US_ADDS[row.cas]}")
    who = {"Carc. 1A": "US suppliers", **dict.fromkeys(row.hazards.classes, row.hazards.source)}
    return replace(row, hazards=replace(said, figures_by=who))


def like(name: str, most: int = 3) -> list[TableSubstance]:
    """Rows whose material or substance goes by a name like this one, the nearest first: a person picks."""
    said = _plain(name)
    if not said:
        return []
    scored = [(max(_near(said, known) for known in _names(row)), row) for row in table()]
    near = [(score, row) for score, row in scored if score >= 0.75]
    return [row for _, row in sorted(near, key=lambda found: -found[0])[:most]]


def _near(said: str, known: str) -> float:
    if said == known:
        return 1.0
    within = min(len(said), len(known)) >= 4 and (said in known or known in said)
    return max(0.85 if within else 0.0, difflib.SequenceMatcher(None, said, known).ratio())


def _names(row: TableSubstance) -> Iterable[str]:
    for name in (*row.material.split("/"), row.name):
        yield _plain(name)
        yield _plain(name.partition("(")[0])


def _plain(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", " ", name.casefold()).strip()
