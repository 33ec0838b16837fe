"""A good request for every act of the API, with a room in which each of them goes through."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from batches.models import Batch
from buckets.operations import care, coating, cups, readings, reclaim, reports, rounds, settling, swaps
from buckets.operations import untiled as untiled_release
from studio.materials.models import Lot
from studio.materials.operations import materials, stock
from studio.people.operations import joining, members
from studio.recipes.operations import recipes
from studio.room.operations import bodies, instruments, vessels
from tests import factories
from tests.api import (
    bodies_of_checks,
    bodies_of_contact,
    bodies_of_labels,
    bodies_of_measuring,
    bodies_of_reports,
    bodies_of_sheets,
)
from tests.api.asking import amount

Act = tuple[str, dict[str, Any]]
SIZES = {"bottom_cm": "25.6", "top_cm": 28.8, "height_cm": "35", "empty_g": amount(1135, "g"), "place": "A1"}
DETAILS = {"name": "Flint", "role": "plain", "density": 2.65, "hazard_words": "respirable silica"}
RECIPE = {"name": "Heron", "cone": "6", "atmosphere": "oxidation", "colour": "#6f9aa0"}
LINES = {"typed_as": "parts", "base": "Silica 60\nKaolin 40", "target_sg": "1.45", "half_window": "0.02"}


def every_act() -> dict[str, Act]:
    """By the name of the act: its address and a body that is taken."""
    boss = factories.person("Odile", "manager")
    tam = factories.tamsin()
    return {
        **_people(boss),
        **_room(),
        **_store(),
        **_recipes(),
        **_making(boss),
        **_shelf(tam),
        **_lineage(tam),
        **bodies_of_contact.acts(),
        **bodies_of_labels.acts(),
        **bodies_of_measuring.acts(),
        **bodies_of_reports.acts(boss),
        **bodies_of_checks.acts(),
        **bodies_of_sheets.acts(),
    }


def _people(boss: Any) -> dict[str, Act]:
    ilse, gone = factories.person("Ilse"), factories.person("Marek")
    signed = factories.SignOffFactory(member=ilse)
    members.leave(member=gone, by=boss)
    invited = joining.invite(name="Wren", role="member", days=7, by=boss)
    day = (timezone.localdate() + timedelta(days=90)).isoformat()
    return {
        "change_member": (f"people/{ilse.pk}/change-member/", {"name": "Ilse", "role": "helper"}),
        "give_sign_off": (f"people/{ilse.pk}/give-sign-off/", {"kind": "kiln", "expires_on": day}),
        "leave": (f"people/{ilse.pk}/leave/", {}),
        "come_back": (f"people/{gone.pk}/come-back/", {}),
        "withdraw_sign_off": (f"sign-offs/{signed.pk}/withdraw-sign-off/", {}),
        "dip_card_seen": ("me/dip-card-seen/", {}),
        "change_own_details": ("me/change-own-details/", {"name": "Odile", "units": "us"}),
        "invite": ("invitations/invite/", {"name": "Bo", "role": "member", "days": 7}),
        "withdraw_invitation": (f"invitations/{invited.pk}/withdraw-invitation/", {}),
    }


def _room() -> dict[str, Act]:
    by = factories.bram()
    vessel, away = factories.VesselFactory(code="B40"), factories.VesselFactory(code="B41")
    vessels.put_away_vessel(vessel=away, by=by)
    scale, old_scale = factories.ScaleFactory(), factories.ScaleFactory(name="Old scale")
    instruments.retire_scale(scale=old_scale, by=by)
    glass, old_glass = factories.GlassFactory(), factories.GlassFactory(name="Old flask")
    instruments.retire_glass(glass=old_glass, by=by)
    on_scale = {"name": "Lab scale", "division_g": amount("0.1", "g"), "capacity_g": amount(2, "kg")}
    on_glass = {"name": "Flask 250", "kind": "flask", "volume_ml": 250, "tolerance_ml": "0.5"}
    body, old_body = factories.BodyFactory(), factories.BodyFactory(name="Old porcelain")
    bodies.retire_body(body=old_body, by=by)
    of_body = {"name": "Speckled stoneware", "dry_g": amount(412, "g"), "soaked_g": amount("457.3", "g")}
    return {
        "add_body": ("bodies/add-body/", {**of_body, "bulk_density": "1.88", "wall_mm": 6}),
        "change_body": (f"bodies/{body.pk}/change-body/", {**of_body, "drying_g_per_cm2_h": "0.015"}),
        "retire_body": (f"bodies/{body.pk}/retire-body/", {}),
        "bring_back_body": (f"bodies/{old_body.pk}/bring-back-body/", {}),
        "add_vessel": ("vessels/add-vessel/", {"code": "B42", **SIZES}),
        "change_vessel": (f"vessels/{vessel.pk}/change-vessel/", {**SIZES, "offset_l": "-0.2"}),
        "move_vessel": (f"vessels/{vessel.pk}/move-vessel/", {"place": "shelf C"}),
        "put_away_vessel": (f"vessels/{vessel.pk}/put-away-vessel/", {}),
        "bring_back_vessel": (f"vessels/{away.pk}/bring-back-vessel/", {}),
        "add_scale": ("scales/add-scale/", on_scale),
        "change_scale": (f"scales/{scale.pk}/change-scale/", on_scale),
        "retire_scale": (f"scales/{scale.pk}/retire-scale/", {}),
        "bring_back_scale": (f"scales/{old_scale.pk}/bring-back-scale/", {}),
        "add_glass": ("glass/add-glass/", on_glass),
        "change_glass": (f"glass/{glass.pk}/change-glass/", {**on_glass, "empty_g": amount(90, "g")}),
        "retire_glass": (f"glass/{glass.pk}/retire-glass/", {}),
        "bring_back_glass": (f"glass/{old_glass.pk}/bring-back-glass/", {}),
        "change_details": (
            "details/change-details/",
            {"name": "Quillmere Clay Studio", "phone": "+49 30 5550 123", "law": "US"},
        ),
        "set_policy": ("rules/set-policy/", {"name": "fill_limit_pct", "value": 84}),
    }


def _store() -> dict[str, Act]:
    by = factories.bram()
    silica, kaolin = factories.MaterialFactory(), factories.MaterialFactory(name="Kaolin", density="2.59")
    ended = factories.MaterialFactory(name="Rutile", density="4.2")
    materials.end_material(material=ended, reason="not sold any more", by=by)
    waiting = factories.LotFactory(material=silica, state=Lot.State.QUARANTINE)
    lot, spent = silica.lots.order_by("id").first(), factories.LotFactory(material=kaolin)
    stock.correct_stock(lot=spent, to_g=Decimal(0), reason="spilled", by=by)
    row = {"name": "Talc", "role": "plain", "opening_g": amount(5, "kg"), "opening_price_per_kg": 1.1}
    return {
        "add_material": ("materials/add-material/", {**DETAILS, "aliases": ["Quartz"], "lot_code": "FL-1"}),
        "add_materials": ("materials/add-materials/", {"rows": [row, {**row, "name": "Ball clay"}]}),
        "change_material": (f"materials/{silica.pk}/change-material/", {**DETAILS, "aliases": []}),
        "add_alias": (f"materials/{silica.pk}/add-alias/", {"name": "Quartz"}),
        "end_material": (f"materials/{silica.pk}/end-material/", {}),
        "bring_back_material": (f"materials/{ended.pk}/bring-back-material/", {}),
        "receive_lot": (
            f"materials/{silica.pk}/receive-lot/",
            {"mass_g": amount(25, "kg"), "price_per_kg": "0.62", "code": "SI-77", "state": "quarantine"},
        ),
        "change_lot": (f"lots/{lot.pk}/change-lot/", {"received_on": "2026-04-06", "note": "torn bag"}),
        "release_lot": (f"lots/{waiting.pk}/release-lot/", {}),
        "quarantine_lot": (f"lots/{lot.pk}/quarantine-lot/", {"reason": "grey specks"}),
        "reject_lot": (f"lots/{waiting.pk}/reject-lot/", {"reason": "wet"}),
        "use_up_lot": (f"lots/{spent.pk}/use-up-lot/", {"reason": "bag empty"}),
        "correct_stock": (f"lots/{lot.pk}/correct-stock/", {"to_g": amount(24, "kg"), "reason": "counted"}),
        "correct_price": (f"lots/{lot.pk}/correct-price/", {"price_per_kg": "0.65", "reason": "invoice"}),
    }


def _recipes() -> dict[str, Act]:
    lines = factories.linseed_lines()[1:]  # the base of these adds up to 73
    version = factories.VersionFactory(name="Rockpool", approved=False, by=factories.tamsin(), lines=lines)
    recipe, retired = version.recipe, factories.VersionFactory(name="Old Moss").recipe
    recipes.retire_recipe(recipe=retired, reason="crawls", by=factories.bram())
    at, of = f"versions/{version.pk}/", f"recipes/{recipe.pk}/"
    return {
        "add_recipe": ("recipes/add-recipe/", {**RECIPE, **LINES, "sieve_mesh": 80}),
        "change_recipe": (f"{of}change-recipe/", RECIPE),
        "retire_recipe": (f"{of}retire-recipe/", {"reason": "settles too hard"}),
        "bring_back_recipe": (f"recipes/{retired.pk}/bring-back-recipe/", {}),
        "add_version": (f"{of}add-version/", {**LINES, "reason": "less silica"}),
        "approve_version": (f"{at}approve-version/", {}),
        "withdraw_version": (f"{at}withdraw-version/", {}),
        "normalise_version": (f"{at}normalise-version/", {}),
        "classify_version": (f"{at}classify-version/", {"law": "US"}),
    }


def _making(boss: Any) -> dict[str, Act]:
    version = factories.VersionFactory(name="Linseed")

    def request() -> Any:
        return factories.RequestFactory(version=version, vessel=factories.VesselFactory(), by=boss)

    def batch(state: str) -> Batch:
        return factories.BatchFactory(state=state, request=request())

    asked, paused, held = f"requests/{request().number}/", batch("paused"), batch("held")
    planned, weighing, wet = batch("planned"), batch("weighing"), batch("measured")
    here, now = f"batches/{weighing.number}/", f"batches/{wet.number}/"
    line = weighing.lines.first()
    weighed, step = wet.lines.first().weighings.first(), wet.steps.last()
    weigh = {"lot": line.material.lots.first().code, "net_g": float(line.target_g), "scale": line.scale_id}
    return {
        "ask_for_glaze": (
            "requests/ask-for-glaze/",
            {"version": version.pk, "wish": "litres", "litres": amount(5, "L"), "why": "mugs"},
        ),
        "approve_request": (f"{asked}approve-request/", {}),
        "decline_request": (f"{asked}decline-request/", {"reason": "enough of it"}),
        "withdraw_request": (f"{asked}withdraw-request/", {}),
        "begin_batch": (f"batches/{planned.number}/begin-batch/", {}),
        "abandon_in_bucket": (f"{here}abandon-in-bucket/", {"reason": "wrong kaolin"}),
        "weigh_line": (f"{here}lines/1/weigh-line/", weigh),
        "acknowledge": (
            f"batches/{planned.number}/lines/1/acknowledge/",
            {"reason": "its sheet is asked for"},
        ),
        "take_back_weighing": (f"{now}weighings/{weighed.pk}/take-back-weighing/", {"reason": "other pot"}),
        "take_back_step": (f"{now}steps/{step.pk}/take-back-step/", {"reason": "other batch"}),
        "add_water": (f"{now}add-water/", {"water_l": amount(100, "mL")}),
        "sieve_batch": (f"{now}sieve-batch/", {"mesh": 80, "note": "twice"}),
        "weigh_bucket": (f"{now}weigh-bucket/", {"gross_g": amount(9, "kg")}),
        "record_batch_reading": (f"{now}record-batch-reading/", {"sg": 1.44, "volume_l": amount(6, "L")}),
        "pause_batch": (f"{here}pause-batch/", {}),
        "resume_batch": (f"batches/{paused.number}/resume-batch/", {}),
        "hold_batch": (f"{here}hold-batch/", {"reason": "the scale jumps"}),
        "lift_batch": (f"batches/{held.number}/lift-batch/", {"decision": "scale is level again"}),
        "reject_batch": (f"{now}reject-batch/", {"reason": "lumps"}),
        "pour_batch": (f"{now}pour-batch/", {"vessel": wet.vessel.code}),
    }


def _shelf(tam: Any) -> dict[str, Act]:
    by = factories.bram()

    def fill(state: str) -> Any:
        return factories.FillFactory(vessel=factories.VesselFactory(), state=state)

    used, testing, held = fill("in use"), fill("testing"), fill("held")
    reported = fill("in use")
    report = reports.report(fill=reported, words="smells of eggs", by=tam)
    reading = readings.record_reading(fill=used, sg=Decimal("1.44"), by=by)
    odd, moved = (_odd_reading(fill("in use"), by) for _ in range(2))
    stirred, took = care.stir(fill=used, by=by), care.log_use(fill=used, volume_l=Decimal("0.3"), by=by)
    tile = coating.record_tile(fill=used, seconds=Decimal(3), coat_g_per_cm2=Decimal("0.078"), by=by)
    seen = {"kind": "clear layer", "sg": Decimal("1.44"), "clear_mm": Decimal(8), "minutes": Decimal(10)}
    looked = settling.observe_settling(fill=used, by=by, **seen)
    label = factories.LabelFactory(fill=used)
    old_label = factories.LabelFactory(fill=reported)
    factories.LabelFactory(fill=reported)
    at, empty, spare = f"fills/{used.pk}/", factories.VesselFactory(), factories.VesselFactory()
    reclaimed = reclaim.begin_reclaim(vessel=factories.VesselFactory(), volume_l=Decimal(3), by=by)
    walking = rounds.begin_round(kind="opening", by=by)
    return {
        "begin_round": ("rounds/begin-round/", {"kind": "closing"}),
        "stop_at": (f"rounds/{walking.pk}/stop-at/", {"fill": used.pk, "done": "stirred"}),
        "end_round": (f"rounds/{walking.pk}/end-round/", {}),
        "take_over_bucket": (
            "fills/take-over-bucket/",
            {"vessel": empty.code, "glaze": "Moss", "volume_l": amount(7, "L"), "sg": "1.45"},
        ),
        "stir": (f"{at}stir/", {}),
        "water_in": (f"{at}water-in/", {"volume_l": amount(200, "mL"), "note": "rinse water"}),
        "sieve_fill": (f"{at}sieve-fill/", {"mesh": 80, "rinse_l": amount(100, "mL")}),
        "log_use": (f"{at}log-use/", {"volume_l": amount(300, "mL"), "pieces": 4}),
        "record_reading": (f"{at}record-reading/", {"sg": "1.45", "depth_cm": "14.5"}),
        "report": (f"{at}report/", {"words": "blue specks"}),
        "record_tile": (f"{at}record-tile/", {"seconds": 3, "area_cm2": 82, "gain_g": amount("12.9", "g")}),
        "observe_settling": (
            f"{at}observe-settling/",
            {"kind": "top sample", "minutes": 5, "sg": "1.44", "top_sg": "1.41", "note": "by the window"},
        ),
        "take_back_settling": (f"settlings/{looked.pk}/take-back-settling/", {"reason": "other jar"}),
        "take_back_tile": (f"tiles/{tile.pk}/take-back-tile/", {"reason": "other bucket"}),
        "empty_fill": (f"{at}empty-fill/", {"why": "to reclaim", "went": "waste"}),
        "water_off": (f"{at}water-off/", {"how": "decanted", "volume_l": amount(300, "mL")}),
        "powder_in": (f"{at}powder-in/", {"mass_g": amount(200, "g"), "note": "the tub of March"}),
        "additive_in": (
            f"{at}additive-in/",
            {"additive": "magnesium sulfate", "stock_g_per_l": 200, "volume_l": amount(20, "mL")},
        ),
        "thaw_fill": (f"{at}thaw-fill/", {"note": "the heater was off"}),
        "loosen": (f"{at}loosen/", {}),
        "begin_reclaim": ("fills/begin-reclaim/", {"vessel": spare.code, "volume_l": amount(2, "L")}),
        "pour_into_reclaim": (
            f"fills/{reclaimed.pk}/pour-into-reclaim/",
            {"volume_l": amount(1, "L"), "source": "the sieve"},
        ),
        "hold_fill": (f"{at}hold-fill/", {"reason": "blue specks"}),
        "lift_hold": (f"fills/{held.pk}/lift-hold/", {"decision": "only dust"}),
        "release_fill": (f"fills/{testing.pk}/release-fill/", {}),
        "print_bucket_label": (f"{at}print-bucket-label/", {}),
        "take_off_label": (f"labels/{old_label.serial}/take-off-label/", {}),
        "apply_label": (f"labels/{label.serial}/apply-label/", {}),
        "take_back_reading": (f"readings/{reading.pk}/take-back-reading/", {"reason": "other bucket"}),
        "explain_reading": (f"readings/{odd.pk}/explain-reading/", {"why": "other", "note": "new cylinder"}),
        "move_reading": (f"readings/{moved.pk}/move-reading/", {"to_fill": used.pk, "note": "wrong page"}),
        "take_back_care": (f"care/{stirred.pk}/take-back-care/", {"reason": "other bucket"}),
        "take_back_use": (f"uses/{took.pk}/take-back-use/", {"reason": "slip"}),
        "answer_report": (f"reports/{report.pk}/answer-report/", {"answer": "gum", "decision": "put right"}),
    }


def _odd_reading(fill: Any, by: Any) -> Any:
    """The second of two readings that lie further apart than anything explains."""
    return [readings.record_reading(fill=fill, sg=Decimal(sg), by=by) for sg in ("1.45", "1.38")][-1]


def _lineage(tam: Any) -> dict[str, Act]:
    by = factories.bram()
    # materials of its own: other acts hold every bucket with a share of theirs
    lines = [
        recipes.TypedLine(
            kind="base",
            material=factories.MaterialFactory(name=name),
            typed_name=name,
            parts=Decimal(50),
            typed="50",
        )
        for name in ("Fen feldspar", "Fen clay")
    ]
    version = factories.VersionFactory(name="Fen Grass", lines=lines)

    def fill() -> Any:
        row = factories.FillFactory(vessel=factories.VesselFactory(), recipe=version.recipe, volume_l="5")
        readings.record_reading(fill=row, sg=Decimal("1.44"), by=by)
        return row

    def repeat() -> Any:
        request = factories.RequestFactory(version=version, vessel=factories.VesselFactory())
        return factories.BatchFactory(state="testing", request=request).poured_into.get().fill

    here, spare, whole, swapped, other, twin = (fill() for _ in range(6))
    empty, cup = (
        factories.VesselFactory(),
        cups.make_cup(fill=other, volume_l=Decimal("0.3"), to_sg=Decimal("1.38"), by=tam),
    )
    gone = cups.make_cup(fill=other, volume_l=Decimal("0.3"), to_sg=Decimal("1.38"), by=tam)
    first = swaps.not_the_picture(fill=swapped, by=tam)
    factories.BatchFactory(
        state="released", request=factories.RequestFactory(version=version, vessel=factories.VesselFactory())
    )
    untiled, judged = repeat(), repeat()
    untiled_release.release_untiled(fill=judged, reason="class on Thursday", by=tam)
    litre = {"volume_l": amount(1, "L"), "stirred": True}
    return {
        "blend_fill": (f"fills/{here.pk}/blend-fill/", {"spare": spare.pk, **litre}),
        "split_fill": (f"fills/{whole.pk}/split-fill/", {"vessel": empty.code, **litre}),
        "move_bucket": (f"fills/{whole.pk}/move-bucket/", {"place": "shelf C2"}),
        "make_cup": (f"fills/{other.pk}/make-cup/", {"volume_l": amount(250, "mL"), "to_sg": "1.38"}),
        "cup_gone": (f"cups/{gone.pk}/cup-gone/", {"how": "used up"}),
        "report_cup": (f"cups/{cup.pk}/report-cup/", {}),
        "not_the_picture": (f"fills/{spare.pk}/not-the-picture/", {}),
        "name_other_bucket": (f"reports/{first.pk}/name-other-bucket/", {"other": twin.pk}),
        "release_untiled": (f"fills/{untiled.pk}/release-untiled/", {"reason": "class on Thursday"}),
        "judge_tile": (f"fills/{judged.pk}/judge-tile/", {"tile": "good", "words": "as the recipe's own"}),
    }
