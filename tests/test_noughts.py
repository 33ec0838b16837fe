"""A nought byte in a form, wherever it is typed, is refused in words; PostgreSQL never gets to see one."""

import re

import pytest
from django import forms
from django.db import transaction
from django.http import QueryDict
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from studio.fields import ActForm, MassField, ReadableForm
from studio.materials.forms.several import SeveralForm
from studio.people.models import Entry
from studio.tone import UNREADABLE
from tests.people.expectations import EXPECTED, NONE, SHOWN
from tests.people.sample_rows import studio


def data(**typed: str) -> QueryDict:
    sent = QueryDict(mutable=True)
    sent.update({"key": "8e3b7f7e-6b0e-4a1e-9d5e-0d9b6a9e1a11", **typed})
    return sent


class Typed(ActForm):
    name = forms.CharField(required=False)
    mass_g = MassField(required=False)


def test_the_field_says_so_and_the_rest_stays():
    form = Typed(data(name="8e3b\0", mass_g_0="5\0", mass_g_1="g"))
    assert form.errors == {"name": [UNREADABLE], "mass_g": [UNREADABLE]}
    assert "\0" not in form.typed()
    assert "\ufffd" in form["mass_g"].as_widget()


def test_what_belongs_to_no_field_is_made_readable_too():
    form = Typed(data(mass_g_0="5", mass_g_1="g", **{"name_0": "x\0", "y\0": "z"}))
    assert "\0" not in form.typed() + "".join(form.data)


def test_a_table_of_rows_is_read_the_same_way():
    form = SeveralForm(data(rows="2", **{"row0-name": "Ta\0lc", "row0-role": "plain", "row\0": "x"}))
    assert not form.is_valid()
    assert form.rows[0].errors["name"] == [UNREADABLE]
    assert "\0" not in form.typed()


def test_a_form_without_one_is_left_alone():
    sent = data(mass_g_0="5", mass_g_1="g")
    assert ReadableForm(sent).data is sent
    assert Typed(sent).is_valid()


# --- every page


def addresses(resolver: URLResolver, before: str = ""):
    for entry in resolver.url_patterns:
        if isinstance(entry, URLPattern):
            yield entry.name, before + str(entry.pattern)
        else:
            yield from addresses(entry, before + str(entry.pattern))


PAGES = [
    (name, route)
    for name, route in addresses(get_resolver())
    if name in EXPECTED and not name.startswith("api-") and EXPECTED[name][1] not in (NONE, SHOWN)
]
FIELD = re.compile(r'<(?:input|select|textarea)[^>]*\bname="([^"]+)"')
ELSEWHERE = {"logout", "found-studio", "done"}  # they look at no field here, and lead to the log-in
STRANGERS = {"join", "set-new-password", "found-studio", "login"}


@pytest.fixture(scope="module")
def rows(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        yield studio()
        transaction.set_rollback(True)


def path(route: str, kwargs: dict) -> str:
    bare = re.sub(r"\(\?P<(\w+)>[^)]*\)", r"<\1>", route.replace("^", "").replace("$", ""))
    return "/" + re.sub(r"<(?:\w+:)?(\w+)>", lambda m: str(kwargs[m[1]]), bare)


@pytest.mark.parametrize(("name", "route"), PAGES, ids=[name for name, _ in PAGES])
def test_a_page_takes_none_in_any_of_its_fields(db, rows, name, route):
    client = Client()
    if name not in STRANGERS:
        client.force_login(rows.people["manager"])
    address = path(route, rows.kwargs(EXPECTED[name][2], "manager"))
    shown = client.get(address, follow=True).content.decode()
    fields = set(FIELD.findall(shown)) - {"csrfmiddlewaretoken"} | {"key", "reason", "name", "fill", "raw"}
    before = Entry.objects.count()
    for value in ("\0", "x\0y"):
        answer = client.post(address, dict.fromkeys(fields, value))
        assert answer.status_code < 500
        assert answer.status_code not in (302, 303) or name in ELSEWHERE, answer.headers
    assert Entry.objects.count() == before
    assert len(PAGES) > 70
