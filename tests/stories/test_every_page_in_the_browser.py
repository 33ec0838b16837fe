"""Every kind of page of the demo studio, as a technician, a member and a stranger meet it.

Links are followed from Today (a stranger's from a bucket); one page of each kind is looked at, and every
state of a bucket, a batch, a request and a label.
"""

import re
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import Resolver404, resolve, reverse
from django.utils import timezone
from playwright.sync_api import Page

from batches.models import Batch, Request
from buckets import queries
from safety.models import Label
from studio.front import demo
from studio.people.models import Member
from studio.recipes.models import Recipe
from studio.room.models import Vessel
from studio.room.policy import in_force
from tests.look.measures import OPEN_ALL, faults_by_axe, faults_of_size
from tests.people import sample_rows
from tests.people.expectations import EXPECTED

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PEOPLE = {"technician": "bram", "member": "ilse", "stranger": None}
WIDTHS = (390, 820, 1280)
MOST_QUERIES = 12
NO_PAGE = re.compile(r"\.(pdf|csv|json)$|^/(static|api)/")  # the API's one page is asked for by its name
BY_STATE = {"bucket", "batch", "request", "label"}  # their states are pages of their own, named below
# Sent with nothing typed: how a refused page looks.
REFUSED = ("add-material", "add-recipe", "add-vessel", "take-over-bucket", "record-reading", "report")
# Paper, a picture, a piece of a page, or a page that sends on; the first manager's is judged where a room is
# set up.
NO_PAGES = (
    *("label-sheet", "photo", "vessel-litres", "material-density"),
    *("sheet-file", "first-aid", "binder-pdf", "inspection-pdf", "stock-test", "leach-test-file"),
    *("today", "who", "login", "found-studio"),
)
MET: set[str] = set()  # the kinds of page that a test before this one looked at
AT_A_BUCKET = ("record-reading", "report")


@pytest.fixture
def studio(live_server):
    """The demo studio behind a server."""
    with transaction.atomic():
        demo.lay(timezone.now())
    return live_server


def client_of(who: str | None) -> Client:
    client = Client()
    if who:
        client.force_login(Member.objects.get(username=who), "django.contrib.auth.backends.ModelBackend")
    return client


def states() -> list[str]:
    """One bucket of every answer, one batch and request of every state, one label of every state."""
    now, rules = timezone.now(), in_force()
    by_answer = {queries.dip_check_of(f, now, rules).answer: f.vessel.code for f in queries.open_fills()}
    empty = Vessel.objects.exclude(pk__in=queries.open_fills().values("vessel_id")).values_list("code")
    codes = [*by_answer.values(), *(code for (code,) in empty[:1])]
    batches = {(b.state, b.held): b.number for b in Batch.objects.all()}
    requests = {r.state: r.number for r in Request.objects.all()}
    labels = {(label.state, label.purpose): label.serial for label in Label.objects.all()}
    return [
        *(reverse("bucket", args=[code]) for code in codes),
        *(reverse("batch", args=[number]) for number in batches.values()),
        *(reverse("request", args=[number]) for number in requests.values()),
        *(reverse("label", args=[serial]) for serial in labels.values()),
        reverse("label", args=["Q9999"]),
        "/nothing/here/",
    ]


def asked() -> list[str]:
    """The ask page in its three ways, and what two wishes come to: one that can be made, one that can't."""
    ask, version = reverse("ask"), Recipe.objects.get(name="Linseed").current_id
    wish = f"{ask}?version={version}&wish=litres&litres_1=L&litres_0="
    return [f"{ask}?wish=dry+base", f"{ask}?wish=bring+to", f"{wish}5", f"{wish}5&to_sg=0.9"]


def pages(client: Client) -> list[str]:
    """One address of each kind that links lead to, and every state."""
    waiting = ["/", *states(), *asked(), "/people/login/", "/people/join/no-such-link/"]
    named, met, kinds, found = set(waiting), set(), set(), []
    while waiting:
        address = waiting.pop(0)
        kind = kind_of(address)
        wanted = address in named or (kind not in kinds and kind[0] not in BY_STATE) if kind else False
        if address in met or not wanted:
            continue
        met.add(address)
        answer = client.get(address)
        assert answer.status_code < 500, address
        if answer.status_code in (301, 302):
            waiting.append(answer.url)
            continue
        kinds.add(kind)
        found.append(address)
        links = re.findall(r'href="([^"#]+)', answer.content.decode())
        waiting += [link.replace("&amp;", "&") for link in links]
    return found


def kind_of(address: str) -> tuple | None:
    """Which page an address is: its name and which of its questions are asked; None when it is no page."""
    parts = urlsplit(address)
    if parts.netloc or NO_PAGE.search(parts.path) or not parts.path.startswith("/"):
        return None
    asks = tuple(sorted(pair.partition("=")[0] for pair in parts.query.split("&") if pair))
    try:
        return resolve(parts.path).url_name, asks
    except Resolver404:
        return "nothing", asks


@pytest.fixture
def open_as(live_server, new_context):
    """A window for somebody, and what the browser complains of in it."""

    def opened(who: str | None) -> tuple[Page, list[str]]:
        context = new_context()
        client = client_of(who)
        if who:
            cookie = client.cookies[settings.SESSION_COOKIE_NAME]
            context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])
        page, complaints = context.new_page(), []
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        return page, complaints

    return opened


@pytest.mark.parametrize("who", PEOPLE)
def test_every_page_fits_reads_and_can_be_touched(studio, open_as, who):
    client, (page, complaints) = client_of(PEOPLE[who]), open_as(PEOPLE[who])
    looked_at, found = pages(client), {}
    for address in looked_at:
        if faults := faults_at(studio.url, address, page, complaints, client):
            found[address] = faults
    assert found == {}
    assert len(looked_at) >= {"technician": 70, "member": 40, "stranger": 10}[who]
    MET.update(kind_of(address)[0] for address in looked_at)


def test_the_pages_that_the_demo_studio_leads_to_nowhere(live_server, open_as):
    """Every other page that somebody may open, by the table of addresses, on rows in the state it needs."""
    rows = sample_rows.studio()
    names = [name for name, expected in EXPECTED.items() if "manager" in expected[0]]
    names = ["api-docs", *(name for name in names if not name.startswith("api-"))]
    names = [name for name in names if name not in MET | set(NO_PAGES)]
    assert {"bench", "release-fill", "bring-back-scale", "change-member"} <= set(names)
    manager, nobody = client_of("odile"), client_of(None)
    (page, complaints), (strangers, more) = open_as("odile"), open_as(None)
    found = {}
    for name in names:
        address = reverse(name, kwargs=rows.kwargs(EXPECTED[name][2], "manager"))
        if "nobody" in EXPECTED[name][0]:
            faults = faults_at(live_server.url, address, strangers, more, nobody)
        else:
            faults = faults_at(live_server.url, address, page, complaints, manager)
        if faults:
            found[address] = faults
    assert found == {}


def faults_at(host: str, address: str, page: Page, complaints: list[str], client: Client) -> list[str]:
    """All that is wrong with one page."""
    with CaptureQueriesContext(connection) as asked_of_it:
        met = client.get(address, follow=True)
    pages = 1 + len(met.redirect_chain)
    faults = [f"{len(asked_of_it)} queries"] if len(asked_of_it) > MOST_QUERIES * pages else []
    answer = page.goto(host + address)
    assert urlsplit(answer.url).path == met.request["PATH_INFO"]
    faults += faults_of_size_and_sight(page)
    faults += [text for text in complaints if "status of 4" not in text]  # a page that is red on purpose
    complaints.clear()
    return faults


def faults_of_size_and_sight(page: Page) -> list[str]:
    page.emulate_media(color_scheme="light")
    faults = [fault for width in WIDTHS for fault in faults_of_size(page, width)]
    page.set_viewport_size({"width": 390, "height": 800})
    return faults + faults_by_axe(page, "light") + faults_by_axe(page, "dark", only_colours=True)


def test_a_refused_page_fits_reads_and_can_be_touched(studio, open_as):
    page, found = open_as("bram")[0], {}
    vessel = queries.open_fills().first().vessel.code
    for name in REFUSED:
        page.goto(studio.url + reverse(name, args=[vessel] if name in AT_A_BUCKET else []))
        page.evaluate(OPEN_ALL)  # what a report may add is folded below its one-tap acts
        with page.expect_response(lambda answer: answer.request.method == "POST") as sent:
            page.locator("main form[method=post] .buttons button").first.click()
        assert sent.value.status == 422, name
        assert page.locator(".error, .notice.bad").count() >= 1, name
        if faults := faults_of_size_and_sight(page):
            found[name] = faults
    assert found == {}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_member_reaches_every_act_of_a_bucket_without_scrolling(studio, open_as, scheme):
    """On a phone of 390 by 800 px, at every bucket whatever its answer."""
    page, below = open_as("ilse")[0], {}
    page.set_viewport_size({"width": 390, "height": 800})
    page.emulate_media(color_scheme=scheme)
    codes = [fill.vessel.code for fill in queries.open_fills()]
    assert len(codes) > 10
    for code in codes:
        page.goto(studio.url + reverse("bucket", args=[code]))
        for act in ("I stirred it", "Take a reading", "I used some", "Something is wrong with it"):
            box = page.locator("main .acts").get_by_text(act, exact=True).bounding_box()
            if box is None or box["y"] + box["height"] > 800:
                below[code, act] = box
    assert below == {}
