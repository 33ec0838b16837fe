"""Every page of the demo studio that a link leads to: it opens, asks the database at most 12 times and
claims nothing of food."""

import re
from collections import Counter
from datetime import UTC, datetime
from html import unescape
from urllib.parse import urldefrag, urljoin

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import resolve
from django.utils.html import strip_tags

from safety.calc.contact import claims_in
from studio.people.models import Member
from tests.front.demo_studio import laid_at

pytestmark = pytest.mark.django_db

MOST_QUERIES = 12
LINK = re.compile(r'<a\s[^>]*?href="([^"]*)"', re.DOTALL)
OF_A_KIND = {"Bram": 25, "Odile": 5, "Ilse": 5, "Glaze room": 5}  # so many addresses of one kind are opened
DRAWN = 2  # and so many that take a second to draw
# pages that nothing links to, being scanned or typed: a label in force, a void one, none, and the API
BESIDES = {"/l/Q4100/": 200, "/l/Q3994/": 410, "/l/Q9999/": 404, "/api/v1/docs/": 200}
WHO = b"Who is it?"  # the tablet asks, and has done nothing yet
SEEN_BY_BRAM = {
    *("today", "shelf", "bucket", "record-reading", "making", "ask", "request", "batch", "begin-batch"),
    *("store", "material", "lot", "recipes", "recipe", "room", "people", "me", "labels", "label"),
    "label-sheet",
}


@pytest.fixture(scope="module", autouse=True)
def demo_studio(django_db_setup, django_db_blocker):
    with laid_at(datetime(2027, 3, 3, 14, 20, tzinfo=UTC), django_db_blocker):
        assert connection.features.supports_json_field  # looked up once in a process, by no page's fault
        yield


class Walk:
    """Goes from link to link as one person and keeps what was wrong with a page."""

    def __init__(self, name: str) -> None:
        self.client = Client()
        person = Member.objects.get(name=name)
        self.client.force_login(person)
        self.is_room = person.is_room
        self.most = OF_A_KIND[name]
        self.kinds: Counter[str] = Counter()
        self.wrong: list[str] = []

    def go(self, *begin: str) -> None:
        known, ahead = set(begin), list(begin)
        while ahead:
            address = ahead.pop(0)
            if not self._wanted(address):
                continue
            for link in self._open(address):
                if link not in known:
                    known.add(link)
                    ahead.append(link)

    def _wanted(self, address: str) -> bool:
        kind = resolve(address.partition("?")[0]).view_name
        self.kinds[kind] += 1
        return self.kinds[kind] <= (DRAWN if ".pdf" in address else self.most)

    def _open(self, address: str) -> list[str]:
        """The addresses here that this page links to."""
        with CaptureQueriesContext(connection) as asked:
            answer = self.client.get(address)
        if answer.status_code in (301, 302, 303):
            return [urljoin(address, answer["Location"])]
        asks_who = self.is_room and not answer.streaming and WHO in answer.content
        if answer.status_code != (403 if asks_who else BESIDES.get(address, 200)):
            self.wrong.append(f"{address} answers {answer.status_code}")
        if len(asked) > MOST_QUERIES:
            self.wrong.append(f"{address} asks {len(asked)} times")
        if not answer["Content-Type"].startswith("text/html"):
            return []
        if claims := claims_in(strip_tags(answer.content.decode())):
            self.wrong.append(f"{address} claims {claims}")
        links = (urljoin(address, unescape(link)) for link in LINK.findall(answer.content.decode()))
        return [urldefrag(link).url for link in links if link.startswith("/") and "/static/" not in link]


@pytest.mark.parametrize("name", OF_A_KIND)
def test_every_page_opens_and_asks_little(name):
    walk = Walk(name)
    walk.go("/", *sorted(BESIDES))
    assert walk.wrong == []
    if name == "Bram":
        assert SEEN_BY_BRAM - walk.kinds.keys() == set()
