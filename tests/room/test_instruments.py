"""Scales, flasks and cylinders: added, changed, retired, back in use. Figures of "demo_studio.md" 1."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from studio.errors import NotAllowed, Refused
from studio.people.acts import story
from studio.room.models import Glass, Scale
from studio.room.operations import instruments as acts

FINE = {"name": "Fine scale", "division_g": Decimal("0.1"), "capacity_g": Decimal(600)}
CYLINDER = {
    "name": "Cylinder 100",
    "kind": "cylinder",
    "volume_ml": Decimal(100),
    "tolerance_ml": Decimal("0.5"),
}


def test_a_scale_is_added_changed_retired_and_back(technician):
    scale = acts.add_scale(by=technician, **FINE)
    acts.change_scale(scale=scale, by=technician, **{**FINE, "capacity_g": Decimal(1200)})
    acts.retire_scale(scale=scale, by=technician)
    scale.refresh_from_db()
    assert (scale.capacity_g, scale.retired_at is None) == (Decimal(1200), False)
    acts.bring_back_scale(scale=scale, by=technician)
    scale.refresh_from_db()
    assert scale.retired_at is None
    assert [entry.act for entry in story(scale)] == [
        "scale back in use",
        "scale retired",
        "scale changed",
        "scale added",
    ]


def test_a_glass_is_added_changed_retired_and_back(technician):
    glass = acts.add_glass(empty_g=Decimal("65.7"), by=technician, **CYLINDER)
    acts.change_glass(glass=glass, by=technician, **{**CYLINDER, "tolerance_ml": Decimal(1)})
    acts.retire_glass(glass=glass, by=technician)
    glass.refresh_from_db()
    assert (glass.tolerance_ml, glass.empty_g, glass.retired_at is None) == (Decimal(1), None, False)
    acts.bring_back_glass(glass=glass, by=technician)
    glass.refresh_from_db()
    assert glass.retired_at is None


def test_a_name_is_given_once(technician):
    acts.add_scale(by=technician, **FINE)
    with pytest.raises(Refused, match="one called fine scale already") as refused:
        acts.add_scale(by=technician, **{**FINE, "name": "fine  scale"})
    assert refused.value.field == "name"
    bulk = acts.add_scale(name="Bulk", division_g=Decimal(1), capacity_g=Decimal(5000), by=technician)
    with pytest.raises(Refused, match="another name"):
        acts.change_scale(scale=bulk, by=technician, **FINE)
    assert set(Scale.objects.values_list("name", flat=True)) == {"Fine scale", "Bulk"}


def test_a_scale_keeps_its_own_name_when_it_is_changed(technician):
    scale = acts.add_scale(by=technician, **FINE)
    assert (
        acts.change_scale(scale=scale, by=technician, **{**FINE, "name": "FINE scale"}).name == "FINE scale"
    )


def test_retired_twice_is_refused(technician):
    scale = acts.add_scale(by=technician, **FINE)
    acts.retire_scale(scale=scale, by=technician)
    with pytest.raises(Refused, match="retired already"):
        acts.retire_scale(scale=scale, by=technician)


def test_the_same_key_twice_is_one_scale(technician):
    key = uuid4()
    assert acts.add_scale(by=technician, key=key, **FINE) == acts.add_scale(by=technician, key=key, **FINE)
    assert Scale.objects.count() == 1


@pytest.mark.parametrize("who", ["member", "helper"])
def test_only_technicians_may(request, who):
    person = request.getfixturevalue(who)
    with pytest.raises(NotAllowed):
        acts.add_scale(by=person, **FINE)
    with pytest.raises(NotAllowed):
        acts.add_glass(by=person, **CYLINDER)
    assert not Scale.objects.exists()
    assert not Glass.objects.exists()


# --- pages --------------------------------------------------------------------------------------------


@pytest.fixture
def pages(client, technician):
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_a_scale_through_its_pages(pages):
    typed = {"name": "Fine scale", "division_g_0": "0,1", "division_g_1": "g"}
    typed |= {"capacity_g_0": "600", "capacity_g_1": "g"}
    added = pages.post(reverse("add-scale"), {**typed, "key": str(uuid4())}, follow=True)
    assert "Fine scale is in the room." in added.content.decode()
    pk = Scale.objects.get().pk
    assert 'value="0.1"' in pages.get(reverse("change-scale", args=[pk])).content.decode()
    pages.post(reverse("change-scale", args=[pk]), {**typed, "capacity_g_0": "1200", "key": str(uuid4())})
    pages.post(reverse("retire-scale", args=[pk]), {"key": str(uuid4())})
    text = pages.get(reverse("scale", args=[pk])).content.decode()
    assert "retired" in text
    assert "1.2\u00a0kg" in text
    pages.post(reverse("bring-back-scale", args=[pk]), {"key": str(uuid4())})
    assert "Scale in use" in pages.get(reverse("scale", args=[pk])).content.decode()


def test_a_glass_through_its_pages(pages):
    typed = {"name": "Cylinder 100", "kind": "cylinder", "volume_ml": "100", "tolerance_ml": "0.50"}
    assert "ASTM E1272" in pages.get(reverse("add-glass")).content.decode()
    pages.post(reverse("add-glass"), {**typed, "key": str(uuid4())})
    pk = Glass.objects.get().pk
    pages.post(
        reverse("change-glass", args=[pk]),
        {**typed, "empty_g_0": "65.7", "empty_g_1": "g", "key": str(uuid4())},
    )
    assert "65.7\u00a0g" in pages.get(reverse("glass", args=[pk])).content.decode()
    pages.post(reverse("retire-glass", args=[pk]), {"key": str(uuid4())})
    assert Glass.objects.get().retired_at is not None
    pages.post(reverse("bring-back-glass", args=[pk]), {"key": str(uuid4())})
    assert Glass.objects.get().retired_at is None


def test_add_it_then_another_stays_on_the_form(pages):
    typed = {"name": "Flask", "kind": "flask", "volume_ml": "250", "tolerance_ml": "1", "another": "1"}
    answer = pages.post(reverse("add-glass"), {**typed, "key": str(uuid4())})
    assert (answer.status_code, answer.url) == (303, reverse("add-glass"))
