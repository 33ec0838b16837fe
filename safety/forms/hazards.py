"""What a sheet says of a substance, as it is typed: classes in the law's words, figures beside them."""

import re
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from safety.calc.by_share import merged_letters
from safety.calc.hazards import ROUTES, Hazards, Limit
from safety.calc.limits import H_OF, is_physical
from studio.calc.typed import TypedProblem, parse_decimal
from studio.fields import NumberField

STATED = [
    ("classes", "it has these classes"),
    ("not hazardous", "the sheet says: not hazardous"),
    ("not stated", "the sheet does not say"),
]
KNOWN = {*H_OF, "STOT SE 3"}
_BY_WORD = {re.sub(r"[\s.]+", "", cls).casefold(): cls for cls in KNOWN}
LETTERS = re.compile(r"H36[01]([FDfd]{1,2})\b")
MOST_TEXT = 400
CLASSES_HELP = "As section 2 or 3 writes them, divided by ; for example Acute Tox. 4 (oral); STOT RE 1."


def read_class(text: str) -> str:
    """The class as the law writes it. ValueError with a sentence where it is none."""
    said = re.sub(r"\s+", " ", text.strip())
    found = _BY_WORD.get(re.sub(r"[\s.]+", "", said).casefold())
    if found:
        return found
    if is_physical(said) and len(said) <= 40:
        return said
    raise ValueError(f"“{said[:40]}” is no class of the law. Write it as on the sheet: Eye Irrit. 2.")


class ClassesField(forms.CharField):
    """Classes divided by ; or by lines. Cleans to a tuple in the law's own spelling."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault("max_length", MOST_TEXT)
        kwargs.setdefault("help_text", CLASSES_HELP)
        super().__init__(**kwargs)

    def clean(self, value: Any) -> tuple[str, ...]:  # type: ignore[override]
        text = super().clean(value)
        try:
            found = [read_class(one) for one in re.split(r"[;\n]", text or "") if one.strip()]
        except ValueError as problem:
            raise forms.ValidationError(str(problem)) from problem
        return tuple(dict.fromkeys(found))

    def prepare_value(self, value: Any) -> Any:
        return "; ".join(value) if isinstance(value, list | tuple) else value


class LimitsField(forms.CharField):
    """Specific limits: "Carc. 1B 0.01; STOT RE 2 0.5", percent. Cleans to a tuple of Limit."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault("max_length", MOST_TEXT)
        super().__init__(**kwargs)

    def clean(self, value: Any) -> tuple[Limit, ...]:  # type: ignore[override]
        text = super().clean(value) or ""
        try:
            return tuple(self._one(one) for one in re.split(r"[;\n]", text) if one.strip())
        except (ValueError, TypedProblem, InvalidOperation) as problem:
            raise forms.ValidationError(str(problem) or "Write class and percent.") from problem

    def _one(self, text: str) -> Limit:
        cls, _, number = text.strip().removesuffix("%").strip().rpartition(" ")
        if not cls:
            raise ValueError("Write class and percent, for example Carc. 1B 0.01.")
        pct = parse_decimal(number)
        if not 0 < pct <= 100:
            raise ValueError("A limit is above 0 and at most 100 %.")
        return Limit(cls=read_class(cls.removesuffix("≥").removesuffix(">=").strip()), min_pct=pct)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, list | tuple):
            return "; ".join(f"{limit.cls} {limit.min_pct}" for limit in value)
        return value


def ate(label: str, unit: str) -> NumberField:
    """An acute toxicity estimate; the table of classes ends far below the most."""
    return NumberField(label=label, unit=unit, above=0, maximum=100_000, places=4, required=False)


def factor(label: str) -> forms.IntegerField:
    """An M-factor: 1, 10, 100 …"""
    said = "An M-factor is a whole number: 1, 10, 100."
    return forms.IntegerField(
        label=label, required=False, min_value=1, max_value=1_000_000,
        widget=forms.TextInput({"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": said, "min_value": said, "max_value": said},
    )  # fmt: skip


class HazardsFields(forms.Form):
    """The fields of one source's word on one substance."""

    stated = forms.ChoiceField(label="What it says", choices=STATED, initial="classes")
    classes = ClassesField(label="Classes")
    codes = forms.CharField(
        label="H statements",
        help_text="Those with letters tell apart what classes do not: H350i, H360FD, H335.",
        required=False,
        max_length=200,
    )
    ate_oral = ate("ATE by mouth", "mg/kg")
    ate_dermal = ate("ATE by skin", "mg/kg")
    ate_inhal_dust = ate("ATE of dust", "mg/L")
    m_acute = factor("M-factor, acute")
    m_chronic = factor("M-factor, chronic")
    limits = LimitsField(label="Specific limits", help_text="Class and percent: Carc. 1B 0.01; STOT RE 2 0.5")
    organ = forms.CharField(label="Organ named", required=False, max_length=40)


_ATE = {"oral": "ate_oral", "dermal": "ate_dermal", "inhal_dust": "ate_inhal_dust"}


def said_of(form: forms.Form) -> Hazards | None:
    """What was typed as one word of a sheet; None, with sentences beside fields, where it is none.

    ``form`` has ``stated``, ``classes`` and ``codes``; figures count where it has fields for them.
    """
    cleaned = form.cleaned_data
    stated, classes = cleaned.get("stated"), cleaned.get("classes") or ()
    if stated == "classes" and not classes and "classes" not in form.errors:
        form.add_error("classes", "Which classes? Or choose what the sheet says instead.")
    if stated != "classes" and classes:
        form.add_error("stated", "It has classes below. Choose “it has these classes”, or clear them.")
    if form.errors:
        return None
    codes = cleaned.get("codes") or ""
    return Hazards(
        stated=stated,  # type: ignore[arg-type]
        classes=classes,
        ate={route: Decimal(cleaned[name]) for route, name in _ATE.items() if cleaned.get(name)},
        unknown_acute=ROUTES if stated == "not stated" else (),
        m_acute=cleaned.get("m_acute"),
        m_chronic=cleaned.get("m_chronic"),
        limits=cleaned.get("limits") or (),
        repr_effects=merged_letters("".join(LETTERS.findall(codes))),
        carc_inhalation_only="H350i" in codes,
        stot_se3=_airways_or_sleep(classes, codes),
        organ=cleaned.get("organ") or "",
    )


def _airways_or_sleep(classes: tuple[str, ...], codes: str) -> str:
    if "H336" in codes:
        return "narc"
    return "resp" if "STOT SE 3" in classes or "H335" in codes else ""
