"""The bar, and the pages that answer when something is missing, closed or broken."""

from types import SimpleNamespace as Row

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.template.loader import render_to_string
from django.urls import path

from studio import context
from studio.people.doors import open_to_all

MODULE = "tests.look.test_bar"


@open_to_all
def page(request):
    return HttpResponse(render_to_string("base.html", request=request))


@open_to_all
def broken(request):
    raise RuntimeError("a fault of ours")


@open_to_all
def closed(request):
    raise PermissionDenied


urlpatterns = [
    path("", page, name="today"),
    path("shelf/", page, name="shelf"),
    path("shelf/B05/", page),
    path("labels/", page, name="labels"),
    path("broken/", broken),
    path("closed/", closed),
]


@pytest.fixture(autouse=True)
def own_addresses(settings):
    settings.ROOT_URLCONF = MODULE


def bar(rf, path, person):
    request = rf.get(path)
    request.user, request.urlconf = person, MODULE
    return context.bar(request)


SIGNED_IN = Row(is_authenticated=True, units="us")


def test_the_bar_shows_what_has_an_address_and_nothing_else(rf):
    assert [entry["word"] for entry in bar(rf, "/", SIGNED_IN)["bar"]] == ["Today", "Shelf"]


def test_the_bar_marks_where_you_are_and_below_it_too(rf):
    def here(path):
        return [entry["word"] for entry in bar(rf, path, SIGNED_IN)["bar"] if entry["here"]]

    assert here("/") == ["Today"]
    assert here("/shelf/") == here("/shelf/B05/") == ["Shelf"]
    assert here("/labels/") == []


def test_a_stranger_gets_no_entries_and_metric_units(rf):
    assert bar(rf, "/shelf/B05/", AnonymousUser()) == {"bar": [], "units": "metric"}
    assert bar(rf, "/", SIGNED_IN)["units"] == "us"


def test_the_page_marks_the_entry_itself_and_the_pages_below_it_apart(client, member):
    client.force_login(member)
    assert '<a href="/shelf/" aria-current="page">Shelf</a>' in client.get("/shelf/").text
    assert '<a href="/shelf/" aria-current="true">Shelf</a>' in client.get("/shelf/B05/").text
    assert '<a class="who" href="/people/me/"><span>Ilse</span></a>' in client.get("/shelf/").text


def test_a_stranger_is_offered_to_sign_in_and_to_come_back_here(client):
    html = client.get("/shelf/B05/").text
    assert 'href="/people/login/?next=/shelf/B05/"' in html
    assert "<nav" not in html


def test_an_address_without_a_page_says_so(client):
    answer = client.get("/shelf/B99/nowhere/")
    assert answer.status_code == 404
    assert "Nothing at this address" in answer.text


def test_a_closed_page_says_that_nothing_was_done(client, member):
    client.force_login(member)
    answer = client.get("/closed/")
    assert answer.status_code == 403
    assert "nothing was done" in answer.text
    assert "signed in as <b>Ilse</b>" in answer.text


def test_the_right_that_is_missing_is_named():
    html = render_to_string("403.html", {"right": "to change the store (technician)"})
    assert "This needs the right to change the store (technician). Nothing was done." in html


def test_a_fault_of_ours_is_owned_and_stands_on_its_own(client):
    client.raise_request_exception = False
    answer = client.get("/broken/")
    assert answer.status_code == 500
    assert "A fault on our side" in answer.text
    assert "a fault of ours" not in answer.text
    assert "app.css" in answer.text


def test_a_page_carries_no_style_or_script_of_its_own(client, member):
    client.force_login(member)
    html = client.get("/shelf/").text
    assert "<style" not in html
    assert "style=" not in html
    assert html.count("<script") == html.count("<script src=") == 1
