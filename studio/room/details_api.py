"""Who the studio is, over the API."""

from django.urls import URLPattern, path

from studio.api_kit import ListOf, RowOut, act_at
from studio.people import rights
from studio.people.doors import needs
from studio.room.forms.details import DetailsForm
from studio.room.models import Details
from studio.room.operations.details import change_details


class DetailsOut(RowOut):
    """Who the studio is and under which law; the newest row counts."""

    class Meta:
        model = Details
        fields = ("id", "name", "address", "phone", "emergency", "law", "by", "at")


@needs(rights.SEE)
class AllDetails(ListOf):
    """What was said of the studio, newest first: the first one counts."""

    operation = "details"
    queryset = Details.objects.all()
    serializer_class = DetailsOut


urlpatterns: list[URLPattern] = [
    path("details/", AllDetails.as_view(), name="api-details"),
    act_at("details/", change_details, form=DetailsForm, output=DetailsOut, right=rights.ROOM),
]
