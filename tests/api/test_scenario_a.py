"""Scenario A of a day in the room, entirely over the API: B02 is brought to 15 L.

Every number is the scenario's (invented data, arithmetic by script) within its conventions: masses
+-1 g, litres +-0.01, SG +-0.001, percentages as printed +-1 in the last digit.
"""

import pytest

from studio.front.proof import problems
from tests.api.asking import amount, program
from tests.batches import glazes
from tests.factories import GlassFactory

LINES = {  # position: target g, weighed g
    1: (1441, "1442"),
    2: (1834, "1831"),
    3: (1113, "1113"),
    4: (1113, "1115"),
    5: (1048, "1047"),
    6: (655, "656"),
}


def near(number, off):
    return pytest.approx(number, abs=off)


def value(text) -> float:
    return float(text)


@pytest.fixture
def room(db):
    """Two technicians' programs; B02 away from any glaze, two scales, a calibrated flask, a cylinder."""
    bram, tamsin = glazes.people()
    glazes.room()
    flask = GlassFactory(
        name="Flask 99.8", kind="flask", volume_ml="99.8", tolerance_ml="0.2", empty_g="58.2"
    )
    cylinder = GlassFactory(name="Cylinder 100", volume_ml="100", tolerance_ml="0.5", empty_g="66.3")
    return program(bram), program(tamsin), glazes.gannet_white(), flask, cylinder


def wish(version, litres):
    return {
        "version": version.pk,
        "wish": "bring to",
        "vessel": "B02",
        "litres": amount(litres, "L"),
        "depth_cm": 8.0,
        "volume_l": amount("4.2", "L"),
        "old_sg": "1.52",
    }


def test_b02_is_brought_to_15_litres_over_the_api(room):
    bram, tamsin, version, flask, cylinder = room
    vessel = bram.told("vessels/", code="B02")["results"][0]
    taken = {"vessel": "B02", "recipe": version.recipe_id, "volume_l": amount(5, "L")}
    old = bram.did("fills/take-over-bucket/", taken)

    # 1: stirred, depth 8.0 cm is 4.24 L; 4.2 L would be 7.93 cm
    bram.did(f"fills/{old['id']}/stir/")
    at_8 = bram.told(f"vessels/{vessel['id']}/litres/", depth_cm="8.0")
    assert at_8["at_depth_l"] == near(4.24, 0.01)
    assert bram.told(f"vessels/{vessel['id']}/litres/", depth_cm="7.93")["at_depth_l"] == near(4.2, 0.01)
    assert (at_8["brim_l"], at_8["limit_l"]) == (near(20.36, 0.01), near(17.31, 0.01))

    # 2: 1.5200, U 0.0039 with the fine scale, outside by 0.070: do not dip
    fine = next(row["id"] for row in bram.told("scales/")["results"] if row["name"] == "Fine scale")
    weighed = {
        "glass": flask.pk,
        "scale": fine,
        "tare_g": amount("58.2", "g"),
        "gross_g": amount("209.9", "g"),
    }
    reading = bram.did(f"fills/{old['id']}/record-reading/", {**weighed, "depth_cm": "8.0"})
    assert value(reading["sg"]) == near(1.52, 0.0005)
    assert 2 * value(reading["u_sg"]) == near(0.0039, 0.00005)
    assert reading["verdict"]["word"] == "outside"
    assert reading["verdict"]["difference"] == near(0.070, 0.0005)
    assert bram.told(f"fills/{old['id']}/dip-check/")["answer"] == "do not use"

    # 3: 15 L is planned, 18 L is over the fill limit
    refused = bram.post("requests/plan/", wish(version, 18))
    assert refused.status_code == 409
    assert "88.4" in refused.json()["problem"]
    plan = bram.post("requests/plan/", wish(version, 15)).json()
    assert value(plan["dry_g"]) == near(7204, 1)
    assert value(plan["water_l"]) == near(8.162, 0.01)
    assert (value(plan["min_volume_l"]), value(plan["thin_water_l"])) == (
        near(4.853, 0.01),
        near(0.653, 0.01),
    )
    assert value(plan["fill_pct"]) == near(73.7, 0.1)

    # 4: targets, both bases, bands, loads
    targets = {line["position"]: value(line["target_g"]) for line in plan["lines"]}
    assert targets == {position: near(target, 1) for position, (target, _) in LINES.items()}
    assert [value(line["band_g"]) for line in plan["lines"]] == [
        near(band, 0.1) for band in (14.4, 18.3, 11.1, 11.1, 10.5, 3.3)
    ]
    assert {line["loads"] for line in plan["lines"]} == {1}
    assert (value(plan["total_pct"]), value(plan["rounding_g"])) == (110, near(0.2, 0.1))
    asked = bram.did("requests/ask-for-glaze/", wish(version, 15))
    assert (asked["number"], asked["state"]) == (301, "asked")
    batch = tamsin.did("requests/301/approve-request/")
    here = f"batches/{batch['number']}/"
    assert bram.told("requests/301/")["batch"] == batch["number"]

    # begun with what is there now; powder only after water
    measured = {"volume_l": amount("4.2", "L"), "sg": 1.52, "fill": old["id"]}
    assert bram.post(f"{here}plan-begin/", measured).json()["water_l"] == plan["water_l"]
    assert bram.did(f"{here}begin-batch/", measured)["state"] == "weighing"
    first = weigh(bram, here, 1, "1442")
    assert (first.status_code, "ater" in first.json()["problem"]) == (409, True)

    # 5: first water, then every line; out of the band is not taken
    assert value(plan["first_water_l"]) == near(7.183, 0.01)
    assert value(plan["kept_water_l"]) == near(0.979, 0.01)
    bram.did(f"{here}add-water/", {"water_l": amount("7.183", "L")})
    waits = weigh(bram, here, 1, "1442")
    assert (waits.status_code, "No safety data sheet" in waits.json()["problem"]) == (409, True)
    for position in LINES:
        bram.did(f"{here}lines/{position}/acknowledge/", {"reason": "its sheet is asked for"})
    over = weigh(bram, here, 1, "1456")
    assert over.status_code == 409
    assert over.json()["fields"].keys() == {"net_g"}
    for position, (_, net_g) in LINES.items():
        assert weigh(bram, here, position, net_g).status_code == 201
    assert bram.told(here)["state"] == "wet"
    for _ in range(2):
        bram.did(f"{here}sieve-batch/", {"mesh": 80})
    bram.did(f"{here}weigh-bucket/", {"gross_g": amount("21.876", "kg")})
    now = bram.told(f"{here}standing/")
    assert value(now["weighed_g"]) == near(7204, 1)
    assert value(now["gross_g"]) == near(21906, 1)
    assert value(now["weighed_gross_g"]) - value(now["gross_g"]) == near(-30, 1)

    # 6: predicted 14.021 L at 1.4814; read 25.0 cm, 14.05 L, and 1.484
    assert (value(now["volume_l"]), value(now["sg"])) == (near(14.021, 0.01), near(1.4814, 0.001))
    step = bram.did(f"{here}record-batch-reading/", {"sg": "1.484", "depth_cm": 25.0})
    assert value(step["volume_l"]) == near(14.05, 0.01)
    now = bram.told(f"{here}standing/")
    assert value(now["residual_sg"]) == near(0.0026, 0.0001)

    # 7: 1.062 L in all, 0.902 L first
    assert value(now["to_target"]["water_l"]) == near(1.062, 0.01)
    assert value(now["to_target"]["first_l"]) == near(0.902, 0.01)
    bram.did(f"{here}add-water/", {"water_l": amount(900, "mL")})
    assert value(now["to_target"]["after_first_sg"]) == near(1.4549, 0.001)

    # 8: 1.456 at 14.95 L asks for 0.199 L; then 1.452 and 1.450, inside
    bram.did(f"{here}record-batch-reading/", {"sg": 1.456, "volume_l": amount("14.95", "L")})
    assert value(bram.told(f"{here}standing/")["to_target"]["water_l"]) == near(0.199, 0.01)
    bram.did(f"{here}add-water/", {"water_l": amount("0.20", "L")})
    bram.did(f"{here}record-batch-reading/", {"sg": "1.452", "volume_l": amount("15.15", "L")})
    pots = {"tare_g": amount("66.3", "g"), "gross_g": amount("211.3", "g")}
    last = bram.did(
        f"{here}record-batch-reading/",
        {"glass": cylinder.pk, "scale": fine, **pots, "volume_l": amount("15.15", "L")},
    )
    assert value(last["sg"]) == near(1.450, 0.0005)
    assert last["verdict"]["u_expanded"] == near(0.0085, 0.0001)
    assert last["verdict"]["word"] == "inside"

    # 9: 23.119 kg is a yield of 100.5 %
    bram.did(f"{here}weigh-bucket/", {"gross_g": amount("23.119", "kg")})
    now = bram.told(f"{here}standing/")
    assert value(now["yield_pct"]) == near(100.5, 0.1)
    assert value(now["slurry_g"]) == near(21871, 1)

    # 10: poured: parents, a label of its own, testing until it is released
    fill = bram.did(f"{here}pour-batch/", {"vessel": "B02", "volume_l": amount("15.15", "L")})
    one = bram.told(f"fills/{fill['id']}/")
    shares = {
        parent["batch"] or parent["parent_fill"]: value(parent["dry_share"]) for parent in one["parents"]
    }
    assert shares == {batch["number"]: near(0.676, 0.001), old["id"]: near(0.324, 0.001)}
    assert (one["state"], one["dip_check"]["answer"]) == ("testing", "do not use")
    on_it = {"on_kind": "buckets.fill", "on_id": fill["id"]}
    label = bram.told("labels/", **on_it, state="printed")["results"][0]
    assert bram.did(f"labels/{label['serial']}/apply-label/")["state"] == "applied"
    assert bram.did(f"fills/{fill['id']}/release-fill/")["state"] == "in use"
    assert bram.told(here)["state"] == "released"
    void = bram.told(f"labels/{label['serial']}/")
    assert (void["state"], void["in_force"]) == ("void", False)
    bram.did(f"fills/{fill['id']}/stir/")
    assert bram.told(f"fills/{fill['id']}/dip-check/")["answer"] == "dip"
    assert bram.told(f"fills/{old['id']}/")["state"] == "emptied"
    assert problems() == []


def weigh(who, here, position, net_g):
    """A line from the one released lot of its material."""
    material = who.told(here)["lines"][position - 1]["material"]
    lot = who.told("lots/", material=material, state="released")["results"][0]["code"]
    return who.post(f"{here}lines/{position}/weigh-line/", {"lot": lot, "net_g": net_g})
