"""Generated requests over the whole description of the API, as every role and as nobody.

No request leads to a fault of ours, every answer is one that the description names, and it has the shape
that stands there. The same requests each time: a fixed seed, and each request is taken back after it.
"""

from collections import Counter
from typing import Any

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from schemathesis import GenerationMode
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from studio.people.operations.tokens import make_token
from studio.wsgi import application
from tests.people.sample_rows import Studio, studio

WHO = ("nobody", "member", "helper", "technician", "manager")
TIMES = 4  # a request of each kind, for every operation
LEAST = 500
CHECKS = [status_code_conformance, content_type_conformance, response_schema_conformance]

at_each = settings(
    max_examples=TIMES,
    deadline=None,
    database=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture(scope="module")
def one_connection():
    """The app keeps the connection of the test, with its transaction, as Django's own test client has it."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.fixture(scope="module")
def house(one_connection, django_db_setup, django_db_blocker):
    """The sample studio with a token for every role."""
    with django_db_blocker.unblock(), transaction.atomic():
        rows = studio()
        tokens = {who: make_token(name="fuzz", by=person).secret for who, person in rows.people.items()}
        yield rows, tokens
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def operations(house) -> list[list[Any]]:
    """Every operation with what may be sent to it: as described, and otherwise."""
    schema = schemathesis.openapi.from_wsgi("/api/v1/schema/", application)
    found = [result.ok() for result in schema.get_all_operations()]
    modes = (GenerationMode.POSITIVE, GenerationMode.NEGATIVE)
    return [[one.as_strategy(generation_mode=mode) for mode in modes] for one in found]


def in_the_room(rows: Studio, path: str) -> dict[str, Any]:
    """Numbers of rows that are there, for the places in an address."""
    noun = path.split("/")[3]
    sample = {
        "people": "person",
        "sign-offs": "sign-off",
        "invitations": "invitation",
        "vessels": "api vessel",
        "scales": "scale",
        "glass": "glass",
        "materials": "material",
        "lots": "api lot",
        "recipes": "recipe",
        "versions": "version",
        "requests": "request",
        "fills": "fill",
        "readings": "api reading",
        "care": "api care",
        "uses": "api use",
        "reports": "api report",
        "labels": "label",
    }.get(noun, "")
    if noun == "batches":
        sample = (
            "planned" if path.endswith(("begin-batch/", "plan-begin/"))
            else "line" if "{position}" in path
            else "weighed" if "/weighings/{" in path
            else "step" if "/steps/{" in path
            else "wet"
        )  # fmt: skip
    found = rows.kwargs(sample, "manager")
    return {"id" if name == "pk" else name: value for name, value in found.items()}


def known_words(rows: Studio) -> dict[str, Any]:
    """Values that name something in this room, for fields of a body."""
    return {
        "vessel": "B05",
        "version": rows.samples["version"]["pk"],
        "recipe": rows.samples["recipe"]["pk"],
        "lot": rows.samples["lot"]["code"],
        "glass": rows.samples["glass"]["pk"],
        "scale": rows.samples["scale"]["pk"],
        "fill": rows.samples["fill"]["pk"],
        "name": "fill_limit_pct",
    }


def made_real(case: Any, rows: Studio) -> None:
    """Let a generated request be about rows that are there, so that it gets further in."""
    case.path_parameters = {**(case.path_parameters or {}), **in_the_room(rows, case.operation.path)}
    if isinstance(case.body, dict):
        known = known_words(rows)
        case.body = {name: known.get(name, value) for name, value in case.body.items()}


def wrong_shape(answer: Any) -> str:
    """What a refusal has beside, or instead of, a sentence and sentences by field."""
    said = answer.json()
    if set(said) != {"problem", "fields"} or not said["problem"]:
        return f"refused with {said}"
    texts = [text for sentences in said["fields"].values() for text in sentences]
    return "" if all(isinstance(text, str) for text in texts) else f"refused with {said['fields']}"


@pytest.mark.parametrize("who", WHO)
def test_generated_requests_are_answered_as_described(db, house, operations, who):
    rows, tokens = house
    headers = {"Authorization": f"Bearer {tokens[who]}"} if who in tokens else {}
    answers: Counter[int] = Counter()

    def send(case: Any, real: bool) -> None:
        if real:
            made_real(case, rows)
        with transaction.atomic():
            answer = case.call(headers=headers)
            transaction.set_rollback(True)
        answers[answer.status_code] += 1
        where = f"{case.method} {case.formatted_path} {case.body!r:.300}"
        assert answer.status_code < 500, f"{where}: {answer.content[:2000]!r}"
        case.validate_response(answer, checks=CHECKS)
        assert answer.status_code < 400 or not wrong_shape(answer), f"{where}: {wrong_shape(answer)}"

    for strategies in operations:
        for cases in strategies:
            run = given(case=cases, real=st.sampled_from([True, True, True, False]))(send)
            seed(20261125)(at_each(run))()
    assert sum(answers.values()) >= LEAST, answers
    assert (answers[401] > 0) == (who == "nobody")
    assert who == "nobody" or answers[200] + answers[201] > 50, answers
