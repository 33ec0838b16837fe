"""The API of requests: read, approved, declined, withdrawn. Asking reads the bucket, so it is in buckets."""

from typing import Any

from django import forms
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path

from batches import serializers as out
from batches.forms.requests import DeclineForm
from batches.models import Request
from batches.operations import requests as acts
from batches.planning import Plan
from batches.queries import stock_of
from studio.api_kit import ListOf, One, Question, act_at, row_of
from studio.api_kit.asking import one_of
from studio.fields import ActForm
from studio.people.doors import needs
from studio.people.rights import ASK, MAKE, SEE

REQUESTS = Request.objects.select_related("version__recipe", "vessel", "batch")


def plan_out(plan: Plan) -> dict[str, Any]:
    """A plan with the stock and the cost behind it, for ``PlanOut``."""
    stock = stock_of(plan)
    found = {name: getattr(plan, name) for name in out.PlanOut().fields if hasattr(plan, name)}
    return {**found, "cost": stock.cost, "cost_per_l": stock.cost_per_l, "stock": stock.materials}


class RequestsAsked(forms.Form):
    state = one_of("In this state", Request.State.choices)


@needs(SEE)
class Requests(ListOf):
    """Requests, newest first."""

    operation = "requests"
    query = RequestsAsked
    queryset = REQUESTS
    serializer_class = out.RequestOut


@needs(SEE)
class OneRequest(One):
    """One request by its number."""

    operation = "request"
    queryset = REQUESTS
    serializer_class = out.RequestOut
    lookup_field = "number"


@needs(SEE)
class PlanOfRequest(Question):
    """What a request comes to with the stock, scales and rules of now."""

    operation = "plan_of_request"
    output = out.PlanOut

    def find(self, number: int) -> dict[str, Any]:
        return plan_out(acts.plan_of(get_object_or_404(REQUESTS, number=number)))


_request = row_of("request", Request)
ONE = "requests/<int:number>/"

urlpatterns: list[URLPattern] = [
    path("requests/", Requests.as_view(), name="api-requests"),
    path(ONE, OneRequest.as_view(), name="api-request"),
    path(f"{ONE}plan/", PlanOfRequest.as_view(), name="api-plan-of-request"),
    act_at(ONE, acts.approve_request, right=MAKE, form=ActForm, output=out.BatchOut, about=_request),
    act_at(ONE, acts.decline_request, right=MAKE, form=DeclineForm, output=out.RequestOut, about=_request),
    act_at(ONE, acts.withdraw_request, right=ASK, form=ActForm, output=out.RequestOut, about=_request),
]
