"""Mixtures, labels, precautions and sizes: the file of classification checks."""

from decimal import Decimal
from typing import Any

from safety.calc.elements import label_elements
from safety.calc.hazards import Hazards, Limit
from safety.calc.mixture import Ingredient, classify
from safety.calc.precautions import precautionary_statements
from safety.calc.sizes import label_size
from studio.front.checks.answers import Answer, answered


def _exact(value: Any) -> Decimal:
    return Decimal(str(value))


def _ingredient(said: dict[str, Any]) -> Ingredient:
    hazards = Hazards(
        stated="classes" if said.get("classes") else "not hazardous",
        classes=tuple(said.get("classes", ())),
        ate={route: _exact(value) for route, value in said.get("ate", {}).items()},
        unknown_acute=tuple(said.get("unknown_acute", ())),
        m_acute=said.get("m_acute"),
        m_chronic=said.get("m_chronic"),
        limits=tuple(Limit(cls=x["class"], min_pct=_exact(x["min"])) for x in said.get("scl", ())),
        sum_group=said.get("sum_group", ""),
        note1_fraction=_exact(said["note1_fraction"]) if "note1_fraction" in said else None,
        repr_effects=said.get("repr_effects", ""),
        carc_inhalation_only=said.get("carc_inhalation_only", False),
        stot_se3=said.get("stot_se3", ""),
    )
    return Ingredient(name=said["name"], pct=_exact(said["pct"]), hazards=hazards)


def classify_mixture(
    *, ingredients: list[dict[str, Any]], rules: str, basis: str = "dry", non_additive: bool = False
) -> dict[str, Any]:
    """``basis`` says whether the shares have water in them; it changes none of them."""
    found = classify(
        ingredients=[_ingredient(said) for said in ingredients],
        rules=rules,  # type: ignore[arg-type]
        non_additive=non_additive,
    )
    return {
        "classes": list(found.classes),
        "h_codes": list(found.h_codes),
        "label_h_codes": list(found.label.h_codes),
        "signal_word": found.label.signal_word,
        "pictograms": list(found.label.pictograms),
        "p_codes_convention": list(found.label.p_codes),
        "ate_mix": {route: None if x is None else float(x) for route, x in found.ate_mix.items()},
        "unknown_pct": {route: float(x) for route, x in found.unknown_pct.items()},
        "euh208_names": list(found.euh208_names),
        "name_sensitisers_on_label": list(found.name_sensitisers),
        "physical_to_review": list(found.physical_to_review),
        "aquatic_sums": {name: float(x) for name, x in found.aquatic_sums.items()} or None,
    }


def _elements(*, classes: list[str], h_codes: list[str]) -> dict[str, Any]:
    found = label_elements(classes=classes, h_codes=h_codes)
    return {
        "signal_word": found.signal_word,
        "pictograms": list(found.pictograms),
        "label_h_codes": list(found.h_codes),
    }


def _precautions(*, label_h_codes: list[str]) -> dict[str, Any]:
    return {"p_codes": list(precautionary_statements(label_h_codes=label_h_codes))}


def _size(**given: Any) -> dict[str, Any]:
    found = _label_size(**given)
    return {**found, "label_mm": list(found["label_mm"])}


_label_size = answered(label_size, arguments={"capacity_litres": "capacity_l"})

CHECKS: dict[str, Answer] = {
    "classify_mixture": classify_mixture,
    "label_elements": _elements,
    "precautionary_statements": _precautions,
    "label_size": _size,
}
