"""The limits a mixture is held against, in mass percent, and how classes are written as statements.

EU: CLP Annex I, Tables 3.4.5 to 3.9.3 [O]. US: 1910.1200 Appendix A, Tables A.4.5 to A.9.3 [O]. UN GHS
leaves the authority a choice of limits; here its mixtures are held against those of CLP [P].

Marks, in docstrings and in the rule of every line: [O] read in a copy of the law, [M] from memory,
[P] our convention. Specific limits of a substance win over these in the EU; elsewhere the lower one counts.
"""

from collections.abc import Mapping
from decimal import Decimal
from typing import Literal, NamedTuple

Rules = Literal["CLP", "GHS", "US-HCS"]
D = Decimal


class Generic(NamedTuple):
    """A class an ingredient has, from which share on the mixture has one, which, and where that stands."""

    pct: Decimal
    gives: str
    rule: str


_EU_SENS, _US_SENS = "CLP 3.4, Table 3.4.5 [O]", "US A.4, Table A.4.5 [O]"
_EU = {
    "Resp. Sens. 1A": (("0.1", "Resp. Sens. 1A", _EU_SENS),),
    "Resp. Sens. 1B": (("1", "Resp. Sens. 1B", _EU_SENS),),
    "Resp. Sens. 1": (("1", "Resp. Sens. 1", _EU_SENS),),
    "Skin Sens. 1A": (("0.1", "Skin Sens. 1A", _EU_SENS),),
    "Skin Sens. 1B": (("1", "Skin Sens. 1B", _EU_SENS),),
    "Skin Sens. 1": (("1", "Skin Sens. 1", _EU_SENS),),
    "Muta. 1A": (("0.1", "Muta. 1A", "CLP 3.5, Table 3.5.2 [O]"),),
    "Muta. 1B": (("0.1", "Muta. 1B", "CLP 3.5, Table 3.5.2 [O]"),),
    "Muta. 2": (("1", "Muta. 2", "CLP 3.5, Table 3.5.2 [O]"),),
    "Carc. 1A": (("0.1", "Carc. 1A", "CLP 3.6, Table 3.6.2 [O]"),),
    "Carc. 1B": (("0.1", "Carc. 1B", "CLP 3.6, Table 3.6.2 [O]"),),
    "Carc. 2": (("1", "Carc. 2", "CLP 3.6, Table 3.6.2 [O]"),),
    "Repr. 1A": (("0.3", "Repr. 1A", "CLP 3.7, Table 3.7.2 [O]"),),
    "Repr. 1B": (("0.3", "Repr. 1B", "CLP 3.7, Table 3.7.2 [O]"),),
    "Repr. 2": (("3", "Repr. 2", "CLP 3.7, Table 3.7.2 [O]"),),
    "Lact.": (("0.3", "Lact.", "CLP 3.7, Table 3.7.2 [O]"),),
    "STOT SE 1": (
        ("10", "STOT SE 1", "CLP 3.8, Table 3.8.3 [O]"), ("1", "STOT SE 2", "CLP 3.8, Table 3.8.3 [O]"),
    ),
    "STOT SE 2": (("10", "STOT SE 2", "CLP 3.8, Table 3.8.3 [O]"),),
    "STOT RE 1": (
        ("10", "STOT RE 1", "CLP 3.9, Table 3.9.4 [O]"), ("1", "STOT RE 2", "CLP 3.9, Table 3.9.4 [O]"),
    ),
    "STOT RE 2": (("10", "STOT RE 2", "CLP 3.9, Table 3.9.4 [O]"),),
}  # fmt: skip
_US = {
    "Resp. Sens. 1A": (("0.1", "Resp. Sens. 1A", _US_SENS),),
    "Resp. Sens. 1B": (("1", "Resp. Sens. 1B", _US_SENS),),
    "Resp. Sens. 1": (("0.1", "Resp. Sens. 1", _US_SENS),),
    "Skin Sens. 1A": (("0.1", "Skin Sens. 1A", _US_SENS),),
    "Skin Sens. 1B": (("1", "Skin Sens. 1B", _US_SENS),),
    "Skin Sens. 1": (("0.1", "Skin Sens. 1", _US_SENS),),
    "Muta. 1A": (("0.1", "Muta. 1A", "US A.5, Table A.5.1 [O]"),),
    "Muta. 1B": (("0.1", "Muta. 1B", "US A.5, Table A.5.1 [O]"),),
    "Muta. 2": (("1", "Muta. 2", "US A.5, Table A.5.1 [O]"),),
    "Carc. 1A": (("0.1", "Carc. 1A", "US A.6, Table A.6.1 [O]"),),
    "Carc. 1B": (("0.1", "Carc. 1B", "US A.6, Table A.6.1 [O]"),),
    "Carc. 2": (("0.1", "Carc. 2", "US A.6, Table A.6.1 [O]; on the label it may be left out below 1 %"),),
    "Repr. 1A": (("0.1", "Repr. 1A", "US A.7, Table A.7.1 [O]"),),
    "Repr. 1B": (("0.1", "Repr. 1B", "US A.7, Table A.7.1 [O]"),),
    "Repr. 2": (("0.1", "Repr. 2", "US A.7, Table A.7.1 [O]"),),
    "Lact.": (("0.1", "Lact.", "US A.7, Table A.7.1 [O]"),),
    "STOT SE 1": (("1", "STOT SE 1", "US A.8, Table A.8.2 [O]"),),
    "STOT SE 2": (("1", "STOT SE 2", "US A.8, Table A.8.2 [O]"),),
    "STOT RE 1": (("1", "STOT RE 1", "US A.9, Table A.9.3 [O]"),),
    "STOT RE 2": (("1", "STOT RE 2", "US A.9, Table A.9.3 [O]"),),
}  # fmt: skip


def _table(rows: Mapping[str, tuple[tuple[str, str, str], ...]]) -> dict[str, tuple[Generic, ...]]:
    return {
        cls: tuple(Generic(D(pct), gives, rule) for pct, gives, rule in found) for cls, found in rows.items()
    }


EU, US = _table(_EU), _table(_US)


def generic(rules: Rules) -> dict[str, tuple[Generic, ...]]:
    """By the class of an ingredient: what it gives the mixture, the strictest first."""
    return US if rules == "US-HCS" else EU


# From what share on a sensitiser is named (CLP Table 3.4.6 [O]): its elicitation limit.
ELICITS = {"1A": D("0.01")}
ELICITS_USUALLY = D("0.1")
SE3_PCT = D(20)  # summed (CLP 3.8.3.4.5 [O])

# Classes beside those of a table above that shares are held against.
BY_SUM = ("Acute Tox.", "Skin Corr.", "Skin Irrit.", "Eye Dam.", "Eye Irrit.", "STOT SE 3", "Aquatic")
STRENGTH = {"1A": 0, "1B": 1, "1": 2, "2": 3, "3": 4, "4": 5}
H_OF = {
    "Acute Tox. 1 (oral)": "H300", "Acute Tox. 2 (oral)": "H300", "Acute Tox. 3 (oral)": "H301",
    "Acute Tox. 4 (oral)": "H302",
    "Acute Tox. 1 (dermal)": "H310", "Acute Tox. 2 (dermal)": "H310", "Acute Tox. 3 (dermal)": "H311",
    "Acute Tox. 4 (dermal)": "H312",
    "Acute Tox. 1 (inhalation)": "H330", "Acute Tox. 2 (inhalation)": "H330",
    "Acute Tox. 3 (inhalation)": "H331", "Acute Tox. 4 (inhalation)": "H332",
    "Skin Corr. 1": "H314", "Skin Corr. 1A": "H314", "Skin Corr. 1B": "H314", "Skin Corr. 1C": "H314",
    "Skin Irrit. 2": "H315", "Eye Dam. 1": "H318", "Eye Irrit. 2": "H319", "Eye Irrit. 2A": "H319",
    "Eye Irrit. 2B": "H320", "Asp. Tox. 1": "H304",
    "Resp. Sens. 1": "H334", "Resp. Sens. 1A": "H334", "Resp. Sens. 1B": "H334",
    "Skin Sens. 1": "H317", "Skin Sens. 1A": "H317", "Skin Sens. 1B": "H317",
    "Muta. 1A": "H340", "Muta. 1B": "H340", "Muta. 2": "H341",
    "Carc. 1A": "H350", "Carc. 1B": "H350", "Carc. 2": "H351",
    "Repr. 1A": "H360", "Repr. 1B": "H360", "Repr. 2": "H361", "Lact.": "H362",
    "STOT SE 1": "H370", "STOT SE 2": "H371", "STOT RE 1": "H372", "STOT RE 2": "H373",
    "Aquatic Acute 1": "H400", "Aquatic Chronic 1": "H410", "Aquatic Chronic 2": "H411",
    "Aquatic Chronic 3": "H412", "Aquatic Chronic 4": "H413",
}  # fmt: skip
SE3_H = {"resp": "H335", "narc": "H336"}

# In the order results are written in.
ORDER = (
    "Acute Tox.", "Skin Corr.", "Skin Irrit.", "Eye Dam.", "Eye Irrit.", "Resp. Sens.", "Skin Sens.", "Muta.",
    "Carc.", "Repr.", "Lact.", "STOT SE", "STOT RE", "Aquatic Acute", "Aquatic Chronic",
)  # fmt: skip
PHYSICAL = (
    "Expl.", "Unst.", "Flam.", "Ox.", "Press.", "Self-", "Pyr.", "Water-react.", "Org.", "Met.", "Desen.",
)  # fmt: skip


def is_physical(cls: str) -> bool:
    """Whether a class is of a physical hazard, which shares do not decide."""
    return cls.startswith(PHYSICAL)


def by_shares(cls: str) -> bool:
    """Whether shares decide about a class: all but physical hazards and Asp. Tox. 1 (a matter of flow).

    A class no rule here knows as it is written ("Acute Tox. 4" without a route, "Skin Irrit. 3") is not
    decided by shares: a person has to look at it.
    """
    return cls in EU or cls == "STOT SE 3" or (cls in H_OF and cls.startswith(BY_SUM))


def kind_of(cls: str) -> str:
    """A class without its category: "STOT RE 1" is of "STOT RE"; acute toxicity keeps its route."""
    if cls.startswith("Acute Tox."):
        return f"Acute Tox. {cls[cls.index('(') :]}" if "(" in cls else "Acute Tox."
    return next((name for name in ORDER if cls.startswith(name)), cls)


def strength(cls: str) -> int:
    """How strict a category is within its kind, the strictest 0; "Lact." is 0."""
    words = cls.partition("(")[0].split()
    return STRENGTH.get(words[-1], 0)


def place(cls: str) -> tuple[int, str]:
    """Where a class stands in a result."""
    return next((n for n, name in enumerate(ORDER) if cls.startswith(name)), len(ORDER)), cls
