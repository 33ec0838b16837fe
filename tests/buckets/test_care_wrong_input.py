"""Wrong input on the pages of care: a sentence beside its field, what was typed kept, nothing written."""

import html
from decimal import Decimal
from uuid import uuid4

import pytest

from buckets.models import Care, Fill, Powder, WriteOff
from buckets.operations.fills import empty_fill
from buckets.operations.reclaim import begin_reclaim
from studio.materials.models import Movement
from studio.people.models import Entry
from tests.buckets.rows import gannet, in_use, pail
from tests.factories import bram

pytestmark = pytest.mark.django_db
MODELS = (Care, Powder, WriteOff, Fill, Movement, Entry)
MARKUP = '<script>alert("1")</script>'
LONG = "n" * 201


def litres(field: str, **more):
    """The six wrong amounts that every field of litres answers, with what else the form holds."""
    said = [
        ("some", "not a number"),
        ("-1", "more than 0 L"),
        ("0", "more than 0 L"),
        ("99999999999999", "at most 1000 L"),
        ("1e3", "not a number"),
        ("1,", "stops at its comma"),
        (MARKUP, "not a number"),
    ]
    rows = [({**more, f"{field}_0": typed, f"{field}_1": "L"}, field, says) for typed, says in said]
    return [*rows, ({**more, f"{field}_0": "1", f"{field}_1": "pint"}, field, "Choose one from the list")]


def grams(field: str, **more):
    said = [
        ("some", "not a number"),
        ("-1", "more than 0 g"),
        ("0", "more than 0 g"),
        ("99999999999999", "at most 1000000 g"),
        ("1e3", "not a number"),
        ("nan", "not a number"),
    ]
    rows = [({**more, f"{field}_0": typed, f"{field}_1": "g"}, field, says) for typed, says in said]
    return [*rows, ({**more, f"{field}_0": "1", f"{field}_1": "stone"}, field, "Choose one from the list")]


def number(field: str, low: str, high: str, most: str, **more):
    said = [
        ("some", "not a number"),
        ("-1", low),
        (most, high),
        ("1e3", "not a number"),
        ("1,", "stops at its comma"),
        (MARKUP, "not a number"),
    ]
    return [({**more, field: typed}, field, says) for typed, says in said]


def text(field: str, length: int, says: str, **more):
    return [({**more, field: "n" * (length + 1)}, field, says)]


OFF = {"how": "standing open"}
SALT = {"additive": "magnesium sulfate", "stock_g_per_l": "200"}
FORMS = {
    "water-off": [
        *litres("volume_l", **OFF),
        *number("depth_cm", "at least 0", "at most 500", "501", **OFF),
        ({"volume_l_0": "1", "volume_l_1": "L"}, "how", "decanted, or did it dry"),
        ({**OFF, "how": "boiled", "volume_l_0": "1", "volume_l_1": "L"}, "how", "decanted, or did it dry"),
        ({**OFF}, "volume_l", "or the depth"),
        ({**OFF, "volume_l_0": "1", "volume_l_1": "L", "depth_cm": "9"}, "volume_l", "not both"),
        ({**OFF, "volume_l_0": "8,5", "volume_l_1": "L"}, "volume_l", "B02 holds 8 L"),
        ({**OFF, "depth_cm": "36"}, "depth_cm", "deeper than the bucket"),
        ({**OFF, "depth_cm": "30"}, "depth_cm", "nothing is gone"),
        ({**OFF, "volume_l_0": "1", "volume_l_1": "L", "note": LONG}, "note", "at most 200 letters"),
    ],
    "powder": [
        *grams("mass_g"),
        ({}, "mass_g", "How much powder"),
        ({"mass_g_0": "500", "mass_g_1": "g", "note": LONG}, "note", "at most 200 letters"),
        ({"mass_g_0": "40", "mass_g_1": "kg"}, "mass_g", "does not fit"),
        ({"mass_g_0": "30", "mass_g_1": "kg"}, "mass_g", "over the 17.31"),
        (
            {"rows": "1", "row0-lot": "XX-9", "row0-net_g_0": "5", "row0-net_g_1": "g"},
            None,
            "Look at the lots",
        ),
        ({"rows": "1", "row0-lot": "", "row0-net_g_0": "5", "row0-net_g_1": "g"}, None, "Look at the lots"),
        ({"rows": "1", "row0-lot": "S", "row0-net_g_0": "-5", "row0-net_g_1": "g"}, None, "Look at the lots"),
        (
            {"rows": "1", "row0-lot": "S", "row0-net_g_0": "some", "row0-net_g_1": "g"},
            None,
            "Look at the lots",
        ),
        (
            {"rows": "1", "row0-lot": "S" * 21, "row0-net_g_0": "5", "row0-net_g_1": "g"},
            None,
            "Look at the lots",
        ),
        (
            {"rows": "1", "row0-lot": "S", "row0-net_g_0": "5", "row0-net_g_1": "stone"},
            None,
            "Look at the lots",
        ),
        ({"rows": "nonsense", "row0-lot": "S", "row0-net_g_0": "5"}, "mass_g", "How much powder"),
        ({"rows": "999999999", "row0-lot": "S", "row0-net_g_0": "5"}, None, "Look at the lots"),
    ],
    "additive": [
        *litres("volume_l", **SALT),
        *grams("mass_g", additive="gum"),
        *number("stock_g_per_l", "more than 0", "at most 1000", "1001", additive="gum"),
        *number("wanted_pct", "more than 0", "at most 5", "6", additive="gum", mass_g_0="5", mass_g_1="g"),
        ({}, "additive", "What went in"),
        ({"additive": "vinegar"}, "additive", "What went in"),
        ({"additive": "gum"}, "volume_l", "How much went in"),
        ({"additive": "gum", "volume_l_0": "9", "volume_l_1": "mL"}, "stock_g_per_l", "How strong"),
        ({"additive": "biocide", "mass_g_0": "5", "mass_g_1": "g"}, "product", "Which product"),
        ({"additive": "other", "mass_g_0": "5", "mass_g_1": "g"}, "product", "Which product"),
        ({"additive": "gum", "product": "p" * 29, "mass_g_0": "5", "mass_g_1": "g"}, "product", "28 letters"),
        ({**SALT, "volume_l_0": "2", "volume_l_1": "L"}, "volume_l", "Millilitres or litres"),
        ({"additive": "gum", "mass_g_0": "5", "mass_g_1": "g", "note": LONG}, "note", "at most 200 letters"),
        (
            {**SALT, "volume_l_0": "5", "volume_l_1": "mL", "mass_g_0": "5", "mass_g_1": "g"},
            "mass_g",
            "not both",
        ),
    ],
    "sieve": [
        *litres("rinse_l"),
        *grams("residue_g"),
        *[
            ({"mesh": typed}, "mesh", says)
            for typed, says in (
                ("fine", "whole number"),
                ("80.5", "whole number"),
                ("0", "from 1 to 635"),
                ("-80", "from 1 to 635"),
                ("636", "from 1 to 635"),
                ("9" * 30, "from 1 to 635"),
                (MARKUP, "whole number"),
            )
        ],
        ({"rinse_l_0": "13", "rinse_l_1": "L"}, "rinse_l", "does not fit"),
        ({"rinse_l_0": "9.5", "rinse_l_1": "L"}, "rinse_l", "over the 17.31"),
        ({"note": LONG}, "note", "at most 200 letters"),
    ],
    "thawed": text("note", 200, "at most 200 letters"),
    "hard-settled": text("note", 200, "at most 200 letters"),
    "water": [
        ({"volume_l_0": "9.4", "volume_l_1": "L"}, "volume_l", "over the 17.31"),
    ],
    "empty": [
        ({"why": ""}, "why", "Say why"),
        ({"why": LONG}, "why", "At most 200 letters"),
        ({"why": "old", "went": "sink"}, "went", "Where did the glaze go"),
        ({"why": "old", "into": "999999"}, "into", "no such reclaim bucket"),
        ({"why": "old", "into": "x"}, "into", "no such reclaim bucket"),
    ],
}


def counts():
    return [model.objects.count() for model in MODELS]


def shown(answer):
    return html.unescape(answer.content.decode()).replace("\xa0", " ").replace("\u202f", " ")


def typed_stays(data: dict, page: str) -> bool:
    """What was typed is on the page again; a choice that is not in its list cannot be."""
    chosen = {"how", "additive", "went", "into", "rows", "row0-lot", "volume_l_1", "mass_g_1", "rinse_l_1"}
    free = {name: typed for name, typed in data.items() if name not in chosen and not name.endswith("_1")}
    return all(typed.strip() in page for typed in free.values())


@pytest.mark.parametrize("address", FORMS)
def test_each_is_answered_beside_its_field(client, technician, address):
    fill = in_use(litres="8", recipe=gannet(), sg=Decimal("1.45"))
    before = counts()
    client.force_login(technician)
    for data, field, sentence in FORMS[address]:
        answer = client.post(f"/shelf/B02/{address}/", {"fill": fill.pk, "key": uuid4(), **data})
        assert answer.status_code == 422, data
        said = " ".join(answer.context["form"].errors[field or "__all__"]).replace("\xa0", " ")
        assert sentence in said, data
        page = shown(answer)
        assert said.split(".")[0] in page, data
        assert MARKUP not in answer.content.decode()
        assert typed_stays(data, page), data
        assert counts() == before, data


@pytest.mark.parametrize(
    "address", [name for name in FORMS if name not in ("empty", "thawed", "hard-settled")]
)
def test_looking_beforehand_refuses_the_same_and_writes_nothing(client, technician, address):
    fill = in_use(litres="8", recipe=gannet(), sg=Decimal("1.45"))
    before = counts()
    client.force_login(technician)
    for data, field, sentence in FORMS[address]:
        if data == {"additive": "gum"}:
            continue  # a question that may be asked: what would a dose of it be
        said = {"fill": fill.pk, "key": uuid4(), **data, "look": "1"}
        answer = client.post(f"/shelf/B02/{address}/", said)
        assert answer.status_code == 422, data
        assert sentence in " ".join(answer.context["form"].errors[field or "__all__"]).replace("\xa0", " ")
        assert counts() == before, data


RECLAIM = [
    *litres("volume_l", source="the sieve"),
    ({"source": "the sieve"}, "volume_l", "How much was poured in"),
    ({"volume_l_0": "1", "volume_l_1": "L"}, "source", "Where is it from"),
    ({"volume_l_0": "1", "volume_l_1": "L", "source": "   "}, "source", "Where is it from"),
    ({"volume_l_0": "1", "volume_l_1": "L", "source": LONG}, "source", "At most 200 letters"),
    ({"volume_l_0": "19", "volume_l_1": "L", "source": "B04"}, "volume_l", "does not fit"),
    ({"volume_l_0": "1", "volume_l_1": "L", "source": "B04", "sg": "thick"}, "sg", "not a number"),
    ({"volume_l_0": "1", "volume_l_1": "L", "source": "B04", "sg": "145"}, "sg", "more than one way"),
    ({"volume_l_0": "1", "volume_l_1": "L", "source": "B04", "sg": "-1.4"}, "sg", "between 1.00"),
]


def test_what_is_poured_into_reclaim_is_answered_beside_its_field(client, technician):
    fill = begin_reclaim(vessel=pail("B02"), volume_l=Decimal(3), by=bram())
    before = counts()
    client.force_login(technician)
    for data, field, sentence in RECLAIM:
        answer = client.post("/shelf/B02/reclaim/", {"fill": fill.pk, "key": uuid4(), **data})
        assert answer.status_code == 422, data
        assert sentence in " ".join(answer.context["form"].errors[field]).replace("\xa0", " "), data
        assert typed_stays(data, shown(answer)), data
        assert counts() == before, data


BEGIN = [
    *litres("volume_l"),
    *number("depth_cm", "at least 0", "at most 500", "501"),
    ({"vessel": ""}, "vessel", "Which bucket"),
    ({"vessel": "B99"}, "vessel", "no such bucket"),
    ({"vessel": "B03"}, "vessel", "already holds"),
    ({"glaze": "g" * 81}, "glaze", "at most 80 letters"),
    ({"note": LONG}, "note", "at most 200 letters"),
    ({"depth_cm": "58"}, "depth_cm", "deeper than the bucket"),
    ({"volume_l_0": "21", "volume_l_1": "L"}, "volume_l", "does not fit"),
    ({"volume_l_0": "2", "volume_l_1": "L", "depth_cm": "9"}, "volume_l", "not both"),
]


def test_beginning_a_reclaim_bucket_refuses_each_beside_its_field(client, technician):
    pail("B02")
    in_use("B03", litres="3", glaze="Old blue")
    before = counts()
    client.force_login(technician)
    for data, field, sentence in BEGIN:
        answer = client.post("/shelf/reclaim/", {"key": uuid4(), "vessel": "B02", **data})
        assert answer.status_code == 422, data
        assert sentence in " ".join(answer.context["form"].errors[field]).replace("\xa0", " "), data
        assert counts() == before, data


def test_what_is_typed_in_other_ways_is_read_and_kept_as_typed(client, technician):
    fill = in_use(litres="8", recipe=gannet(), sg=Decimal("1.45"))
    client.force_login(technician)
    said = {"fill": fill.pk, "key": uuid4(), "mesh": "120", "rinse_l_0": "0,25", "rinse_l_1": "L"}
    assert client.post("/shelf/B02/sieve/", said).status_code == 303
    row = Care.objects.get(kind="sieved")
    assert "rinse_l=0,25 L" in row.raw
    assert row.parts.get().volume_l == Decimal("0.25")


@pytest.mark.parametrize("address", [name for name in FORMS if name != "empty"])
def test_a_fill_emptied_meanwhile_is_named_on_every_page(client, technician, address):
    fill = in_use(litres="8", recipe=gannet(), sg=Decimal("1.45"))
    empty_fill(fill=fill, why="old", by=technician)
    client.force_login(technician)
    good = {
        "water-off": {**OFF, "volume_l_0": "1", "volume_l_1": "L"},
        "powder": {"mass_g_0": "5", "mass_g_1": "g"},
        "additive": {"additive": "gum", "mass_g_0": "5", "mass_g_1": "g"},
        "water": {"volume_l_0": "1", "volume_l_1": "L"},
    }.get(address, {})
    for look in ({}, {"look": "1"}):
        said = {"fill": fill.pk, "key": uuid4(), **good, **look}
        answer = client.post(f"/shelf/B02/{address}/", said)
        assert answer.status_code == 422
        assert "which was emptied out of B02" in shown(answer)
    assert client.get(f"/shelf/B02/{address}/").status_code == 302
    assert not Care.objects.exists()
