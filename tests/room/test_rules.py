"""The studio's own rules: each change one more row, the newest in force, every one within its bounds."""

import html
from dataclasses import fields
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from studio.errors import NotAllowed, Refused
from studio.room.models import PolicyChange
from studio.room.operations.policy import BOUNDS, set_policy
from studio.room.policy import WORDS, Policy, in_force


def test_a_change_is_in_force_and_the_old_one_stays(technician):
    set_policy(name="fill_limit_pct", value=Decimal(80), by=technician)
    set_policy(name="fill_limit_pct", value=Decimal("82.5"), by=technician)
    assert in_force().fill_limit_pct == Decimal("82.5")
    assert list(PolicyChange.objects.order_by("id").values_list("value", flat=True)) == ["80", "82.5"]


def test_a_round_number_is_kept_as_it_reads(technician):
    set_policy(name="smallest_divisions", value=Decimal("100.0000"), by=technician)
    assert PolicyChange.objects.get().value == "100"
    assert in_force().smallest_divisions == 100


def test_every_rule_has_words_and_bounds_that_hold_its_default():
    assert {field.name for field in fields(Policy)} == set(WORDS) == set(BOUNDS)
    for name, bounds in BOUNDS.items():
        assert bounds.low <= getattr(Policy(), name) <= bounds.high, name


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("moon_phase", "3", "no such rule"),
        ("fill_limit_pct", "99", "between 30 and 98 % of the brim"),
        ("fill_limit_pct", "85", "the rule already"),
        ("repeatability", "0", "between 0.001 and 0.1 SG"),
    ],
)
def test_a_rule_out_of_bounds_is_refused(technician, name, value, says):
    with pytest.raises(Refused, match=says):
        set_policy(name=name, value=Decimal(value), by=technician)
    assert not PolicyChange.objects.exists()


def test_a_helper_may_not(helper):
    with pytest.raises(NotAllowed):
        set_policy(name="fill_limit_pct", value=Decimal(80), by=helper)


def test_a_rule_through_its_page(client, technician):
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    address = reverse("set-policy", args=["fill_limit_pct"])
    assert "Never changed" in client.get(address).content.decode()
    answer = client.post(address, {"value": "82,5", "key": str(uuid4())}, follow=True)
    assert "The rule is changed." in answer.content.decode()
    assert PolicyChange.objects.get().raw == "value=82,5"
    assert "82.5 % of the brim" in html.unescape(client.get(address).content.decode()).replace("\u00a0", " ")


def test_a_rule_that_is_so_or_not_is_a_choice(client, technician):
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    address = reverse("set-policy", args=["open_bucket_pages"])
    text = client.get(address).content.decode()
    assert "(1 yes, 0 no)" not in text
    client.post(address, {"value": "0", "key": str(uuid4())})
    assert in_force().open_bucket_pages == 0
    assert client.post(address, {"value": "2", "key": str(uuid4())}).status_code == 422


def test_a_member_sees_a_rule_but_not_its_form(client, member):
    client.force_login(member, backend="django.contrib.auth.backends.ModelBackend")
    address = reverse("set-policy", args=["fill_limit_pct"])
    assert "<form" not in client.get(address).content.decode()
    assert client.post(address, {"value": "80", "key": str(uuid4())}).status_code == 403
