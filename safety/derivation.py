"""How a classification was got, laid out to be read and checked: each line with its sum, limit and source."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from safety import acidity
from safety.calc import acute
from safety.calc.hazards import Hazards
from safety.calc.mixture import RULES_OF_LAW
from safety.calc.precautions import precautionary_statements
from safety.calc.skin_eye import is_extreme
from safety.labelling.hazard_part import PICTOGRAMS, sentence
from safety.statements import printed_code, printed_codes, statement, wording_of
from studio import words

Plain = Mapping[str, Any]

LAW_OF_RULES = {rules: law for law, (rules, _) in RULES_OF_LAW.items()}
# What is left out of a label and why: mixtures.md 8, CLP Art. 26 and 27 [O].
ALREADY_SAID = {
    "H318": (("H314",), "H314 says it already"),
    "H400": (("H410",), "H410 says it already"),
    "H411": (("H410",), "with H400 it is printed as H410"),
    "H412": (("H410",), "with H400 it is printed as H410"),
}
ROUTE_WORDS = {
    "oral": ("by mouth", "mg/kg"),
    "dermal": ("through the skin", "mg/kg"),
    "inhal_dust": ("as dust breathed in", "mg/L, 4 h"),
    "inhal_vapour": ("as vapour breathed in", "mg/L, 4 h"),
}
MARKS = {
    "[O]": "opened",
    "[M]": "from memory",
    "[P]": "convention",
    "[C]": "computed",
}


def pct(value: Any) -> str:
    """A mass share as it is compared, to the figures that matter: 0.0125 %, 25 %, 2.3041 %."""
    share = Decimal(str(value))
    return words.percent(share, 6 if abs(share) < Decimal("0.1") else 4)


def status_in_words(mark: str) -> str:
    """``[O] classes / [M] ATE`` → ``opened: classes / from memory: ATE``."""
    said = re.sub(r"\[([OMPC]): ?([^\]]+)\]", lambda found: f"{MARKS[f'[{found[1]}]']}: {found[2]}", mark)
    for short, long in MARKS.items():
        said = said.replace(f"{short} ", f"{long}: ").replace(short, long)
    return said


def to_read(text: str) -> str:
    """A note with its long figures to four places: a share of recipe parts may have twenty-six."""
    return re.sub(r"\d+\.\d{5,}", lambda found: str(round(Decimal(found[0]), 4).normalize()), text)


def marked(text: str) -> str:
    """A rule with its mark in words: ``Table 3.4.5 [O]`` → ``Table 3.4.5 (opened)``."""
    text = text.replace("by convention [P]", "[P]")  # once is enough
    for short, long in MARKS.items():
        text = text.replace(short, f"({long})")
    return text


@dataclass(frozen=True)
class Said:
    """A code with its sentence and the mark of where that was read."""

    code: str
    text: str
    status: str


def said(codes: Iterable[str], law: str, result: Plain) -> list[Said]:
    """Statements by their codes, in order, as they are printed under a law."""
    rows = [(code, statement(code, wording_of(law))) for code in codes]
    return [
        Said(printed_code(code, law), sentence(row.text, code, dict(result)), status_in_words(row.status))
        for code, row in rows
    ]


def label_of(result: Plain, law: str) -> dict[str, Any]:
    """What a label of it says: words, pictures and sentences, and what is left out with the reason."""
    label = result["label"]
    printed = label.get("h_codes", ())
    dropped = [code for code in result.get("h_codes", ()) if code not in printed]
    return {
        "signal_word": label.get("signal_word") or "",
        "pictograms": [(code, PICTOGRAMS.get(code, "")) for code in label.get("pictograms", ())],
        "h": said(printed, law, result),
        "dropped": [(code, _why_dropped(code, printed)) for code in dropped],
        "euh": said(label.get("euh", ()) if law == "EU" else (), law, result),
        "p": [
            (row, _why_precaution(row.code, printed_codes(printed, law)))
            for row in said(label.get("p_codes", ()), law, result)
        ],
        "euh208": result.get("euh208_names", ()),
        "on_request": [
            {
                **one,
                "rule": marked(one["rule"]),
                "why": marked(one["why"]),
                "pct": pct(one["pct"]),
                "from_pct": pct(one["from_pct"]),
            }
            for one in result.get("on_request", ())
        ],
        "sensitisers": result.get("name_sensitisers", ()),
    }


def _why_precaution(code: str, printed: Iterable[str]) -> str:
    """The statements that ask for a precaution; by convention, disposal stands where there is room."""
    asks = [
        one for one in printed if code in precautionary_statements(label_h_codes=[one]) and code != "P501"
    ]
    return f"for {', '.join(asks)}" if asks else "for disposal"


def _why_dropped(code: str, printed: Iterable[str]) -> str:
    others, why = ALREADY_SAID.get(code, ((), ""))
    return why if set(others) & set(printed) else "another statement on the label says it"


# What a line's sum is made of, where shares are weighted first (CLP 4.1, Tables 4.1.1 and 4.1.2).
SUMS = {
    "Aquatic Acute 1": "Σ (share × M acute) of what is Aquatic Acute 1",
    "Aquatic Chronic 1": "Σ (share × M chronic) of what is Aquatic Chronic 1",
    "Aquatic Chronic 2": "Σ (10 × share × M chronic) of Chronic 1 + Σ share of Chronic 2",
    "Aquatic Chronic 3": "Σ (100 × share × M chronic) of Chronic 1 + Σ (10 × share) of 2 + Σ share of 3",
    "Aquatic Chronic 4": "Σ share of Chronic 1 to 4, without M",
}


def lines_of(result: Plain) -> list[dict[str, Any]]:
    """Every rule that was met or came near, those that were met first."""
    rows, law = [], LAW_OF_RULES.get(result.get("rules", ""), "EU")
    for line in result.get("lines", ()):
        total, limit = line["sum_pct"], line.get("limit_pct")
        rows.append(
            {
                **line,
                "h_code": printed_code(line["h_code"], law),
                "rule": marked(line["rule"]),
                "note": to_read(marked(line.get("note", ""))),
                **(_estimated(line.get("note", "")) if limit is None else {}),
                **({} if limit is None else {"sum": apart(total, limit), "limit": pct(limit)}),
                "overtaken": not line["reached"] and limit is not None and Decimal(total) >= Decimal(limit),
                "how": SUMS.get(line["cls"], ""),
                "of": [(name, pct(share), source) for name, share, source in line["of"]],
            }
        )
    return sorted(rows, key=lambda row: not row["reached"])


_ESTIMATED = re.compile(r"ATE of the mixture ([\d.]+) (mg/\w+), category \d up to ([\d.]+) mg")


def _estimated(note: str) -> dict[str, str]:
    """An estimate and the bound of its category where a sum and its limit stand on other lines."""
    found = _ESTIMATED.match(note)
    if found is None:  # a class that rests on the pH has no sum
        return {"sum": "", "limit": ""}
    ate, unit, bound = found.groups()
    return {
        "sum": f"ATE {words.number(Decimal(ate), 4, least=0)}{words.GAP}{unit}",
        "limit": f"up to {words.number(Decimal(bound), 2, least=0)}{words.GAP}{unit}",
    }


def apart(total: Any, limit: Any) -> str:
    """A sum with as many places as it takes to see on which side of its limit it lies."""
    share, bound = Decimal(str(total)), Decimal(str(limit))
    if share == bound or pct(share) != pct(bound):
        return pct(share)
    return next(said for n in range(5, 29) if (said := words.percent(share, n)) != words.percent(bound, n))


def acute_of(result: Plain, inputs: Plain) -> list[dict[str, Any]]:
    """For each route the acute toxicity estimate of the mixture, and the terms it is the sum of."""
    found = [
        (row["name"], Decimal(row["pct"]), Hazards.from_plain(row["hazards"])) for row in inputs["substances"]
    ]
    by_name = {name: hazards for name, _, hazards in found}

    def whose(name: str, route: str, value: Decimal) -> str:
        return _whose(by_name[name], route, value)

    rows = []
    for route, (by, unit) in ROUTE_WORDS.items():
        ate = result.get("ate_mix", {}).get(route)
        unknown = Decimal(str(result.get("unknown_pct", {}).get(route, 0) or 0))
        if ate is None and not unknown:
            continue
        one = acute.estimate(route=route, ingredients=found, rules=result["rules"])
        rows.append(
            {
                "by": by,
                "unit": unit,
                "ate": None if ate is None else words.figures(Decimal(str(ate)), 4),
                "unknown": pct(unknown) if unknown else "",
                "over": pct(one.over_pct),
                "beyond": one.corrected and one.over_pct > 100 - one.unknown_pct,
                "terms": [
                    (f"{name}: {pct(share)} ÷ {words.number(value, 4, least=0)}", whose(name, route, value))
                    for name, share, value in one.of
                ],
                "limits": ", ".join(
                    f"category {n} up to {words.number(upper, 2, least=0)}"
                    for n, upper in enumerate(acute.UPPER[route], 1)
                ),
            }
        )
    return rows


def _whose(hazards: Hazards, route: str, value: Decimal) -> str:
    """Where the figure of a term comes from: a source's own, or the point value of a class."""
    if hazards.ate.get(route) == value:
        return f"ATE, {hazards.said_by(f'ate {route}')}" if hazards.said_by(f"ate {route}") else "ATE"
    cls = next(one for one in hazards.classes if one.endswith(f"({acute.ROUTE_WORD[route]})"))
    said = hazards.said_by(cls)
    return f"point value of {cls}" + (f", {said}" if said else "")


def acidity_of(inputs: Plain) -> dict[str, Any]:
    """What is known of the pH of a mixture and of what is in it, and whether anything rests on it."""
    found = acidity.from_plain(inputs.get("acidity", {}))
    return {
        "ph": None if found.ph is None else words.number(found.ph, 1, least=0),
        "extreme": found.ph is not None and is_extreme(found.ph),
        "told": [one.sentence for one in found.told],
    }


def substances_of(inputs: Plain, wet: Decimal | None = None) -> list[dict[str, Any]]:
    """What it is made of, the largest share first; ``wet``: mass share of dry glaze in the bucket, 0 to 1."""
    return [
        {
            **row,
            "dry": pct(row["pct"]),
            "wet": "" if wet is None else pct(Decimal(row["pct"]) * wet),
            "said": said_of(row["hazards"]),
            "figures": figures_of(row["hazards"], sources=True),
            "source": row["hazards"].get("source", ""),
            "status": status_in_words(row["hazards"].get("status", "")),
            "from": [_from(one) for one in row["of"]],
        }
        for row in inputs["substances"]
    ]


def materials_of(inputs: Plain) -> list[Plain]:
    """Each material with its share and its sheets, ``page`` being the number of a sheet's page."""
    return [
        {
            **row,
            "pct": pct(row["pct"]),
            "sheets": [{**sheet, "page": sheet["number"].lstrip("S0")} for sheet in row["sheets"]],
        }
        for row in inputs["materials"]
    ]


def _from(one: Plain) -> dict[str, str]:
    """A contribution: the product it is, the share its sheet gives, and the sheet's number."""
    sum_of_it = f"{one['material']} {pct(one['material_pct'])} × {pct(one['in_it_pct'])} = {pct(one['pct'])}"
    return {"sum": sum_of_it, "given": one.get("given", ""), "sheet": one.get("sheet", "")}


def said_of(hazards: Plain) -> str:
    """What is said of a substance: each class, with its source where not all of the sources say it."""
    stated = hazards.get("stated", "unknown")
    if stated == "classes":
        who = hazards.get("figures_by", {})
        said = [f"{cls} ({who[cls]})" if cls in who else cls for cls in hazards.get("classes", ())]
        return ", ".join(said) or "specific limits only"
    if stated == "not hazardous" and hazards.get("taken"):
        return hazards["taken"]
    if stated == "not hazardous" and hazards.get("unknown_acute"):
        return "classes stated as none; its acute toxicity is not known"
    return {
        "not hazardous": "stated as not hazardous",
        "not stated": "not stated: counts as unknown",
        "unknown": "unknown",
    }[stated]


def figures_of(hazards: Plain, *, sources: bool = False) -> list[str]:
    """Every figure a sum uses, in words; with ``sources``, each says whose it is."""
    who, whole = hazards.get("figures_by", {}), hazards.get("source", "")
    told = [
        (f"{said} ({who.get(name, whole)})" if sources and who.get(name, whole) else said)
        for name, said in _numbers(hazards)
    ]
    return [*told, *_remarks(hazards)]


def _numbers(hazards: Plain) -> Iterator[tuple[str, str]]:
    """Each number by its name in ``Hazards.figures``, with its unit."""
    for route, value in hazards.get("ate", {}).items():
        by, unit = ROUTE_WORDS[route]
        yield f"ate {route}", f"ATE {by} {words.number(Decimal(value), 4, least=0)} {unit}"
    for name, what in (("m_acute", "M-factor acute"), ("m_chronic", "M-factor chronic")):
        if name in hazards:
            yield name, f"{what} {hazards[name]}"
    for one in hazards.get("limits", ()):
        yield f"limit {one['cls']}", f"specific limit: {one['cls']} from {pct(one['min_pct'])}"
    if "note1_fraction" in hazards:
        share = hazards["note1_fraction"]
        yield "note1_fraction", f"Note 1, by CLP alone: limits count {share} of its mass, the metal"


def _remarks(hazards: Plain) -> list[str]:
    found = []
    if hazards.get("repr_effects"):
        found.append(f"effects {hazards['repr_effects']}")
    if hazards.get("carc_inhalation_only"):
        found.append("cancer by breathing it in only")
    if hazards.get("organ"):
        found.append(f"organ: {hazards['organ']}")
    if hazards.get("sum_group"):
        found.append(f"summed with the group {hazards['sum_group']}")
    if hazards.get("unknown_acute"):
        routes = " and ".join(ROUTE_WORDS[route][0] for route in hazards["unknown_acute"])
        found.append(f"acute toxicity unknown {routes}")
    return found
