"""Clay bodies over the API: the same acts and questions as their pages."""

from typing import Any

from django.urls import URLPattern, path

from studio.api_kit import ListOf, One, RowOut, act_at, amount, row_of
from studio.people import rights
from studio.people.doors import needs
from studio.room.forms.bodies import BodyForm
from studio.room.forms.kept import PlainForm
from studio.room.models import Body
from studio.room.operations import bodies


class BodyOut(RowOut):
    """A clay body as it is bisqued here; one with retired_at is not offered."""

    absorption_pct = amount("% of the dry mass", places=2, allow_null=True)
    bulk_density = amount("g/mL", allow_null=True)
    drying_g_per_cm2_h = amount("g of water a square centimetre and hour", places=4, allow_null=True)
    wall_mm = amount("mm, usual wall", places=1, allow_null=True)

    class Meta:
        model = Body
        fields = (
            "id", "name", "bisque_cone", "absorption_pct", "bulk_density", "drying_g_per_cm2_h", "wall_mm",
            "measured_on", "measured_how", "note", "retired_at",
        )  # fmt: skip


@needs(rights.SEE)
class Bodies(ListOf):
    """Every clay body, newest first; retired ones, too."""

    operation = "bodies"
    queryset = Body.objects.all()
    serializer_class = BodyOut


@needs(rights.SEE)
class OneBody(One):
    """One clay body."""

    operation = "body"
    queryset = Body.objects.all()
    serializer_class = BodyOut


def _act(where: str, do: Any, form: Any, about: Any = None) -> URLPattern:
    return act_at(where, do, form=form, output=BodyOut, about=about, right=rights.ROOM)


_body = row_of("body", Body)
BODY = "bodies/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("bodies/", Bodies.as_view(), name="api-bodies"),
    _act("bodies/", bodies.add_body, BodyForm),
    path(BODY, OneBody.as_view(), name="api-body"),
    _act(BODY, bodies.change_body, BodyForm, _body),
    _act(BODY, bodies.retire_body, PlainForm, _body),
    _act(BODY, bodies.bring_back_body, PlainForm, _body),
]
