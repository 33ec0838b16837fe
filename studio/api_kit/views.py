"""Views of the API: lists, single rows, questions and acts, all with one manner of asking and refusing."""

from collections.abc import Callable
from typing import Any, ClassVar
from uuid import UUID, uuid4

from django import forms
from django.db import models
from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from rest_framework import exceptions, generics, negotiation, serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from studio.api_kit.pages import Pages
from studio.api_kit.problems import Invalid
from studio.api_kit.sending import Json, read
from studio.fields import ActForm
from studio.people.acts import name_of, repeated, sent_before
from studio.people.api_auth import PaceOfToken
from studio.people.doors import needs
from studio.tone import speak

Rows = dict[str, Any]


class AlwaysJson(negotiation.BaseContentNegotiation):
    """There is one manner of answering, whatever is asked for."""

    def select_parser(self, request: Any, parsers: Any) -> Any:
        return negotiation.DefaultContentNegotiation().select_parser(request, parsers)

    def select_renderer(self, request: Any, renderers: Any, format_suffix: Any = None) -> Any:
        return renderers[0], renderers[0].media_type


class View(APIView):
    """What all of them share. ``operation`` is the name in the description of the API."""

    operation: ClassVar[str] = ""
    query: ClassVar[type[forms.Form] | None] = None
    paged: ClassVar[bool] = False
    content_negotiation_class = AlwaysJson
    parser_classes = (Json,)
    throttle_classes = (PaceOfToken,)

    def asked(self) -> Rows:
        """What stands behind the ``?`` of the address, cleaned by ``query``; other names are refused."""
        known = set(self.query.base_fields) if self.query else set()
        known |= {"cursor", "page_size"} if self.paged else set()
        if unknown := sorted(set(self.request.query_params) - known):
            wrong = {name: ["Nothing can be asked by this name here."] for name in unknown}
            raise Invalid(wrong, f"This address does not know {', '.join(unknown)}.", status=400)
        if self.query is None:
            return {}
        form = self.query(self.request.query_params)
        speak(form.fields.values())
        if not form.is_valid():
            invalid = Invalid.of(form)
            invalid.status = 400
            raise invalid
        return form.cleaned_data


class ListOf(View, generics.ListAPIView):
    """Rows in pages, newest first. ``narrow`` leaves those that were asked for."""

    pagination_class = Pages
    paged = True
    filter_backends = ()

    def get_queryset(self) -> QuerySet[Any]:
        rows = super().get_queryset()
        if getattr(self, "swagger_fake_view", False):
            return rows.none()
        return self.narrow(rows, **self.asked())

    def narrow(self, rows: QuerySet[Any], **asked: Any) -> QuerySet[Any]:
        """The rows asked for; the values of ``query`` by name, None or empty where nothing was asked."""
        return rows.filter(**{name: value for name, value in asked.items() if value not in (None, "")})


class One(View, generics.RetrieveAPIView):
    """One row by its number."""

    filter_backends = ()

    def retrieve(self, request: Any, *args: Any, **kwargs: Any) -> Response:
        self.asked()
        return super().retrieve(request, *args, **kwargs)


class Question(View):
    """Something worked out when it is asked; ``output`` describes the answer that ``find`` gives."""

    output: ClassVar[type[serializers.Serializer]]

    def find(self, **kwargs: Any) -> Any:
        """What is answered, for ``output`` to write down."""
        raise NotImplementedError

    def get(self, request: Any, **kwargs: Any) -> Response:
        found = self.find(**kwargs, **self.asked())
        return Response(self.output(found, context={"request": request}).data)


class AskedWithBody(View):
    """A question whose facts come in a body: nothing is written, so it needs no key."""

    form_class: ClassVar[type[ActForm]]
    output: ClassVar[type[serializers.Serializer]]

    def form_kwargs(self, **kwargs: Any) -> Rows:
        """What the form is told beside the body."""
        return {}

    def find(self, form: Any, **kwargs: Any) -> Any:
        """The answer to a good form."""
        raise NotImplementedError

    def post(self, request: Any, **kwargs: Any) -> Response:
        self.asked()
        told = self.form_kwargs(**kwargs)
        form = read(self.form_class, request.data, uuid4(), **told).refuse_wrong()
        return Response(self.output(self.find(form, **kwargs), context={"request": request}).data)


class ActView(View):
    """One act: POST a JSON body and a key, get the row that was written.

    201 when it was written now, 200 when the key came before. Subclasses come from ``act_view``.
    """

    form_class: ClassVar[type[ActForm]]
    do: ClassVar[Callable[..., models.Model]]
    output: ClassVar[type[serializers.Serializer]]

    def about(self, **kwargs: Any) -> Rows:
        """The rows that the address names."""
        return {}

    def form_kwargs(self, about: Rows) -> Rows:
        """What the form is told beside the body."""
        return {}

    def post(self, request: Any, **kwargs: Any) -> Response:
        self.asked()
        about = self.about(**kwargs)
        body, key = request.data, self._key()
        sent = read(self.form_class, body, key, **self.form_kwargs(about))
        do = type(self).do
        said = {**about, "raw": sent.form.typed()}
        row = sent_before(name_of(do), key, by=request.user, said=said) if not sent.wrong else None
        if row is None:
            row = do(by=request.user, **about, **sent.refuse_wrong().act_args())
        code = status.HTTP_200_OK if repeated(row) else status.HTTP_201_CREATED
        return Response(self.output(row, context={"request": request}).data, status=code)

    def _key(self) -> UUID:
        try:
            return UUID(self.request.headers["Idempotency-Key"])
        except (KeyError, ValueError) as error:
            raise exceptions.ParseError("Send the header Idempotency-Key with a UUID of your own.") from error


def act_view(
    name: str,
    *,
    right: str,
    form: type[ActForm],
    do: Callable[..., models.Model],
    output: type[serializers.Serializer],
    about: Callable[..., Rows] | None = None,
    form_kwargs: Callable[..., Rows] | None = None,
    says: str = "",
) -> Callable[..., Any]:
    """A view for one act: ``about(request, **url_kwargs)`` fetches the rows it is about.

    ``form_kwargs(request, rows)`` gives what the form is told of them; ``says`` describes the act where
    the operation's own words are not for programs.
    """
    members: Rows = {
        "operation": name,
        "form_class": form,
        "do": staticmethod(do),
        "output": output,
        "__doc__": says or do.__doc__,
    }
    if about:
        members["about"] = lambda self, **kwargs: about(self.request, **kwargs)
    if form_kwargs:
        members["form_kwargs"] = lambda self, rows: form_kwargs(self.request, rows)
    return needs(right)(type(name, (ActView,), members)).as_view()


def act_at(where: str, do: Callable[..., models.Model], **about_it: Any) -> URLPattern:
    """One act below ``where``: its address and its names are those of the operation."""
    name: str = do.__name__
    dashes = name.replace("_", "-")
    return path(f"{where}{dashes}/", act_view(name, do=do, **about_it), name=f"api-{dashes}")


def row_of(name: str, rows: Any) -> Callable[..., Rows]:
    """For ``about``: the one row that the address names, under the name the operation knows it by."""

    def fetch(request: Any, **kwargs: Any) -> Rows:
        return {name: get_object_or_404(rows, **kwargs)}

    return fetch
