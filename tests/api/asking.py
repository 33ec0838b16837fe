"""A program that talks to the studio over the API, for tests."""

import json
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from django.test import Client

from studio.people.models import Member
from studio.people.operations.tokens import make_token

BASE = "/api/v1/"


@dataclass
class Program:
    """Asks with one token, in the name of one person; no cookie, so no form's token either."""

    secret: str
    client: Client

    def get(self, address: str, **query: Any) -> Any:
        return self.client.get(BASE + address, query, headers=self._headers())

    def post(self, address: str, body: Any = None, *, key: UUID | str | None = None) -> Any:
        """A POST with a key of its own; ``body`` may be bytes, to send what is no JSON."""
        sent = body if isinstance(body, bytes) else json.dumps({} if body is None else body)
        return self.client.post(
            BASE + address,
            sent,
            content_type="application/json",
            headers={**self._headers(), "Idempotency-Key": str(key or uuid4())},
        )

    def did(self, address: str, body: Any = None) -> Any:
        """An act that goes through: the row it wrote."""
        answer = self.post(address, body)
        assert answer.status_code == 201, (address, answer.status_code, answer.content.decode())
        return answer.json()

    def told(self, address: str, **query: Any) -> Any:
        """A question that is answered."""
        answer = self.get(address, **query)
        assert answer.status_code == 200, (address, answer.status_code, answer.content.decode())
        return answer.json()

    def _headers(self) -> dict[str, str]:
        return {"Authorization": f"Bearer {self.secret}"} if self.secret else {}


def program(person: Member | None) -> Program:
    """A program of this person, with a fresh token; of nobody, without one."""
    secret = make_token(name="test", by=person).secret if person else ""  # type: ignore[attr-defined]
    return Program(secret, Client(enforce_csrf_checks=True, raise_request_exception=False))


def amount(number: Any, unit: str) -> dict[str, Any]:
    return {"amount": number, "unit": unit}
