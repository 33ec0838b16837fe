"""Asking for glaze: the wish, what is in the bucket it is for, and what that comes to."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import IntegerField, QuerySet
from django.utils import timezone

from batches.models import Request
from batches.planning import Plan, Wish, plan, scales_in_use
from buckets.advice import newest_reading
from buckets.forms.pickers import GravityField, VersionField, VesselField, bucket_in_service
from buckets.forms.told import LookedAtField, ToldLevel
from buckets.models import Fill
from buckets.operations.pouring import refuse_other_glaze
from buckets.queries import open_fills
from buckets.told import refuse_gravity
from studio import words
from studio.calc.typed import typed_back
from studio.errors import Refused
from studio.fields import ActForm, MassField, VolumeField
from studio.prepared import Prepared
from studio.room.models import Vessel
from studio.room.policy import Policy, in_force

Kind = Request.Wish
AMOUNTS = ("litres_0", "dry_0")  # a query that carries one of these asks for the plan


class AskForm(ToldLevel, ActForm):
    """A wish for glaze, said as litres at an SG, as dry mass, or by bringing a bucket to an amount.

    Validated, it knows ``there`` (what is in the bucket, or None) and, when the wish itself is good,
    ``asked``; ``plan()`` works that out.
    """

    version = VersionField(
        label="Glaze",
        help_text="Recipes with an approved version.",
        error_messages={"required": "Which glaze? Choose one from the list."},
    )
    wish = forms.ChoiceField(
        label="That is",
        choices=Kind.choices,
        error_messages={
            "required": "Say the amount as litres, as dry mass, or by bringing a bucket up.",
            "invalid_choice": "Say the amount as litres, as dry mass, or by bringing a bucket up.",
        },
    )
    litres = VolumeField(label="Litres", required=False)
    dry = MassField(label="Dry glaze", first_unit="kg", required=False)
    to_sg = GravityField(
        label="Specific gravity to make it to", help_text="Empty: the recipe's own target.", required=False
    )
    vessel = VesselField(label="Bucket", required=False)
    old_sg = GravityField(label="Its specific gravity now", required=False)
    fill = LookedAtField()
    why = forms.CharField(label="What it is for", required=False, max_length=200)
    wanted_on = forms.DateField(label="Wanted by", required=False, widget=forms.DateInput({"type": "date"}))

    either = ("litres", "dry")
    field_order = ["version", "wish", "litres", "dry", "to_sg", "vessel", "depth_cm", "volume_l", "old_sg"]
    SENT_ALONG = ("why", "wanted_on")

    there: Fill | None = None
    asked: Wish | None = None
    taken_from_page = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self["wish"].value() == Kind.BRING_TO:
            self.fields["litres"].label = "Bring it to"

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        self._amount(cleaned)
        vessel = cleaned.get("vessel")
        if vessel is not None:
            self.there = what_is_in(vessel)
            self._refuse_another_fill(cleaned)
        if cleaned.get("wish") == Kind.BRING_TO and vessel is not None:
            self._brought(cleaned, vessel)
        elif self.there is not None and "wish" in cleaned:
            self.add_error("vessel", full(self.there))
        if not set(self.errors) - set(self.SENT_ALONG):
            self.asked = self._wish(cleaned)
        return cleaned

    def clean_wanted_on(self):
        day = self.cleaned_data["wanted_on"]
        if day is not None and day < timezone.localdate():
            raise forms.ValidationError("That day is past.")
        return day

    def plan(self, policy: Policy | None = None) -> Plan:
        """What the wish comes to; CannotBeMade when it is impossible."""
        assert self.asked is not None  # noqa: S101 - only a good wish is planned
        return plan(
            self.cleaned_data["version"],
            self.asked,
            vessel=self.cleaned_data["vessel"],
            scales=scales_in_use(),
            policy=policy or in_force(),
        )

    def act_args(self) -> dict[str, Any]:
        assert self.asked is not None  # noqa: S101 - only clean forms act
        names = ("key", "version", "vessel", "why", "wanted_on")
        return {
            **{name: self.cleaned_data[name] for name in names},
            "wish": self.asked.kind,
            "litres": self.asked.litres,
            "dry_g": self.asked.dry_g,
            "to_sg": self.asked.to_sg,
            "old_volume_l": self.asked.old_volume_l,
            "old_sg": self.asked.old_sg,
            "raw": self.typed(),
        }

    def dress(self, kind: str) -> None:
        """Show the fields as this way of saying it needs them. For after validating: it changes no rule."""
        dry = kind in (Kind.DRY_BASE, Kind.DRY_TOTAL)
        self.fields["dry" if dry else "litres"].required = True
        self.fields["vessel"].required = kind == Kind.BRING_TO
        of_dry = [(Kind.DRY_BASE.value, "of base, additions on top"), (Kind.DRY_TOTAL.value, "in all")]
        choices = of_dry if dry else list(Kind.choices)
        self.fields["wish"].widget = forms.RadioSelect(choices=choices)

    def to_send(self) -> list[tuple[str, str]]:
        """Hidden inputs that send exactly the wish that was worked out: as typed, and what was filled in."""
        names = ("version", "wish", "litres_0", "litres_1", "dry_0", "dry_1", "to_sg", "vessel")
        kept = [(name, self.data[name]) for name in names if self.data.get(name)]
        if self.asked is not None and self.asked.kind == Kind.BRING_TO and self.there is not None:
            filled = dict(filled_in(self.there, self.asked.old_volume_l, self.asked.old_sg))
            typed = {name: self.data[name] for name in ("depth_cm", "old_sg") if self.data.get(name)}
            kept += (filled | typed).items()
        return kept

    def _amount(self, cleaned: dict[str, Any]) -> None:
        wish = cleaned.get("wish")
        if wish in (Kind.DRY_BASE, Kind.DRY_TOTAL):
            cleaned["litres"] = None
            if "dry" in cleaned and cleaned["dry"] is None:
                self.add_error("dry", "How much dry glaze should it be?")
        elif wish:
            cleaned["dry"] = None
            if "litres" in cleaned and cleaned["litres"] is None:
                self.add_error("litres", "How many litres should it be?")
        if wish == Kind.BRING_TO and "vessel" in cleaned and cleaned["vessel"] is None:
            self.add_error("vessel", "Which bucket is to be brought up?")

    def _refuse_another_fill(self, cleaned: dict[str, Any]) -> None:
        looked_at = cleaned.get("fill")
        if looked_at is not None and looked_at != (self.there.pk if self.there else None):
            now = f"it holds {self.there.glaze}" if self.there else "it is empty"
            self.add_error(
                None,
                f"{cleaned['vessel'].code} was changed meanwhile: {now} now. Work it out again.",
            )

    def _brought(self, cleaned: dict[str, Any], vessel: Vessel) -> None:
        told_l = self.told(vessel, on_record=self.there.volume_l if self.there else None)
        sg = cleaned.get("old_sg")
        if self.there is None:
            cleaned["old_volume_l"], cleaned["old_sg"] = Decimal(0), None
            if told_l or sg is not None:
                self.add_error(
                    "vessel",
                    f"On record {vessel.code} is empty. "
                    "If there is glaze in it, take it over on the shelf first.",
                )
            return
        version = cleaned.get("version")
        if version is not None:
            self._judge(lambda: refuse_other_glaze(self.there, version.recipe_id, version.recipe.name))
        reading = newest_reading(self.there)
        self.taken_from_page = told_l is None or sg is None
        if told_l is None:
            told_l = self.there.volume_l
        if sg is None and "old_sg" in cleaned:
            sg = reading.sg if reading else None
            if sg is None:
                self.add_error("old_sg", f"No reading of {vessel.code} is on record. What is its SG now?")
        self._judge(lambda: refuse_gravity(sg, self.there.particle_density, field="old_sg"))
        cleaned["old_volume_l"], cleaned["old_sg"] = told_l, sg

    def _judge(self, refuse: Any) -> None:
        try:
            refuse()
        except Refused as refusal:
            self.add_error(refusal.field, refusal.sentence)

    def _wish(self, cleaned: dict[str, Any]) -> Wish:
        bring = cleaned["wish"] == Kind.BRING_TO
        to_sg = cleaned.get("to_sg")
        return Wish(
            kind=cleaned["wish"],
            litres=cleaned.get("litres"),
            dry_g=cleaned.get("dry"),
            to_sg=cleaned["version"].target_sg if to_sg is None else to_sg,
            old_volume_l=cleaned["old_volume_l"] if bring else Decimal(0),
            old_sg=cleaned["old_sg"] if bring else None,
        )


# --- what is in a bucket, for a form


def what_is_in(vessel: Vessel) -> Fill | None:
    """The fill in a vessel with its newest readings and water; None when it is empty."""
    for there in WHAT_IS_IN.rows(vessel=vessel.pk):
        there.vessel = vessel
        return there
    return None


def _open_fill(vessel: int) -> QuerySet[Fill]:
    rows = open_fills().select_related(None).select_related("check_reading", "member_reading", "recipe")
    return rows.filter(vessel=vessel).order_by("pk")[:1]


WHAT_IS_IN = Prepared(_open_fill, vessel=IntegerField())


def full(there: Fill) -> str:
    """Why a new batch can't be asked into a bucket that holds something."""
    return (
        f"{there.vessel.code} holds {words.litres(there.volume_l)} of {there.glaze}. "
        "Bring it up instead, or choose an empty bucket."
    )


def filled_in(there: Fill, volume_l: Decimal | None, sg: Decimal | None) -> list[tuple[str, str]]:
    """What a bucket holds, as the fields of a form would have it typed."""
    said = [("fill", str(there.pk))]
    if volume_l is not None:
        said += [("volume_l_0", typed_back(volume_l)), ("volume_l_1", "L")]
    if sg is not None:
        said.append(("old_sg", f"{sg.normalize():f}"))
    return said


def first_words(query: Mapping[str, str]) -> dict[str, Any]:
    """What the ask page starts with, from its address: a glaze, a bucket, a way to say the amount."""
    wish = query.get("wish", Kind.LITRES)
    code = query.get("vessel", "")[:12].replace("\x00", "")
    start: dict[str, Any] = {
        "wish": wish if wish in Kind.values else Kind.LITRES,
        "version": query.get("version", ""),
        "vessel": code,
    }
    vessel = bucket_in_service(code) if code else None
    there = what_is_in(vessel) if vessel else None
    if there is not None and there.recipe is not None and not start["version"]:
        start["version"] = there.recipe.current_id or ""
    if there is not None and start["wish"] == Kind.BRING_TO:
        reading = newest_reading(there)
        start |= {
            "volume_l": there.volume_l,
            "old_sg": reading.sg.normalize() if reading and reading.sg else None,
        }
    return start
