"""Who the studio is: said once, changed by one more row, shown to everybody, wrong input told beside it."""

import html
from uuid import uuid4

import pytest
from django.urls import reverse

from studio.errors import NotAllowed, Refused
from studio.people.models import Entry
from studio.room.details import gaps, in_force
from studio.room.models import Details
from studio.room.operations.details import change_details

BACKEND = "django.contrib.auth.backends.ModelBackend"
# An invented studio; 112 is the emergency number of the EU.
SAID = {
    "name": "Quillmere Clay Studio",
    "address": "4 Kiln Lane, Quillmere",
    "phone": "+49 30 5550 123",
    "emergency": "112; poison centre +49 30 5550 999",
    "law": "EU",
}


def test_nobody_has_said_it_and_every_gap_is_named(db):
    assert (in_force().pk, in_force().law, len(gaps(in_force()))) == (None, "EU", 3)


def test_the_newest_counts_and_the_old_one_stays(technician):
    change_details(**SAID, by=technician)
    change_details(**{**SAID, "law": "US"}, by=technician)
    assert (in_force().law, gaps(in_force())) == ("US", [])
    assert list(Details.objects.order_by("id").values_list("law", flat=True)) == ["EU", "US"]


def test_the_same_key_is_one_row(technician):
    key = uuid4()
    rows = {change_details(**SAID, by=technician, key=key).pk for _ in range(2)}
    assert len(rows) == Details.objects.count() == 1


def test_blanks_are_put_in_order_and_what_was_typed_is_kept(technician):
    row = change_details(**{**SAID, "address": " 4 Kiln Lane,\n  Quillmere "}, by=technician, raw="as typed")
    assert (row.address, row.raw) == ("4 Kiln Lane, Quillmere", "as typed")


def test_what_is_so_already_is_refused(technician):
    change_details(**SAID, by=technician)
    with pytest.raises(Refused, match="stands already"):
        change_details(**SAID, by=technician)


def test_a_helper_may_not(helper):
    with pytest.raises(NotAllowed):
        change_details(**SAID, by=helper)
    assert not Details.objects.exists()


WRONG = [
    ("name", "", "Nothing is typed"),
    ("name", "   ", "Nothing is typed"),
    ("name", "n" * 81, "At most 80 letters"),
    ("name", "Clay\0Studio", "cannot be kept"),
    ("address", "a" * 201, "At most 200 letters"),
    ("address", "4 Kiln\0Lane", "cannot be kept"),
    ("phone", "ask Odile", "has digits"),
    ("phone", "+49", "has digits"),
    ("phone", "12", "has digits"),
    ("phone", "1" * 41, "At most 40 letters"),
    ("phone", "030 5550 <b>", "has digits"),
    ("phone", "٠٣٠٥٥٥٠", "has digits"),
    ("emergency", "e" * 201, "At most 200 letters"),
    ("law", "", "Choose one"),
    ("law", "eu", "Choose one"),
    ("law", "UK", "Choose one"),
    ("law", "EU,US", "Choose one"),
    ("law", "EU' OR 1", "Choose one"),
    ("law", "EUU", "Choose one"),
]


@pytest.mark.parametrize(("field", "typed", "says"), WRONG)
def test_wrong_input_is_told_beside_its_field_and_writes_nothing(client, technician, field, typed, says):
    client.force_login(technician, backend=BACKEND)
    before = Entry.objects.count()
    answer = client.post(reverse("change-details"), {**SAID, field: typed, "key": str(uuid4())})
    text = html.unescape(answer.content.decode())
    assert answer.status_code == 422
    assert any(says in sentence for sentence in answer.context["form"].errors[field]), text
    assert SAID["emergency" if field != "emergency" else "name"] in text
    assert (Details.objects.count(), Entry.objects.count()) == (0, before)


def test_the_page_says_what_is_missing_keeps_it_and_shows_what_was(client, technician):
    client.force_login(technician, backend=BACKEND)
    address = reverse("change-details")
    assert "Whom to call in an emergency" in client.get(address).content.decode()
    answer = client.post(address, {**SAID, "key": str(uuid4())}, follow=True)
    text = answer.content.decode()
    assert "Kept. Labels printed from now on say it so." in text
    assert "Not said yet" not in text
    assert "4 Kiln Lane, Quillmere" in text
    assert Details.objects.get().raw.startswith("name=Quillmere")


def test_a_member_reads_it_without_a_form(client, technician, member):
    change_details(**SAID, by=technician)
    client.force_login(member, backend=BACKEND)
    text = client.get(reverse("change-details")).content.decode()
    assert "poison centre +49 30 5550 999" in text
    assert 'name="emergency"' not in text
