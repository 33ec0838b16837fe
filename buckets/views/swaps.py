"""It does not look like its picture: one tap holds the bucket, the next one the other it may be."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone

from buckets.forms.swaps import NotThePictureForm, OtherBucketForm
from buckets.models import Fill, Report
from buckets.operations.reports import sender_of
from buckets.operations.swaps import name_other_bucket, not_the_picture
from buckets.views.at import acted_on, bucket_url, to_login, units_of
from studio.middleware import client_address
from studio.pages import act_page, bound, person
from studio.people.doors import open_to_all
from studio.room import policy


@open_to_all
def picture(request: HttpRequest, code: str) -> HttpResponse:
    """One tap on the bucket's page; anybody may."""
    if away := to_login(request, policy.in_force()):
        return away
    fill = acted_on(request, code)
    return act_page(
        request,
        bound(request, NotThePictureForm, fill=fill),
        not_the_picture,
        template="buckets/act.html",
        about={"fill": fill, "sender": sender_of(client_address(request))},
        context={
            "code": code,
            "units": units_of(request),
            "title": "It does not look like the picture",
            "lead": "Its label or its lid may be another bucket’s. This bucket is held at once; then say "
            "which other one it could be. A false alarm costs nothing.",
            "button": "Hold it",
            "icon": "wrong",
            "warn": True,
        },
        then=lambda row: reverse("name-other-bucket", args=[code, row.pk]),
        said=f"{code} is held. Which other bucket could it be?",
    )


@open_to_all
def other(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """The other bucket, if it can be told: it is held as well."""
    if away := to_login(request, policy.in_force()):
        return away
    row = get_object_or_404(Report.objects.select_related("fill__vessel"), pk=pk, fill__vessel__code=code)
    others = Fill.objects.filter(emptied_at=None).exclude(pk=row.fill_id).select_related("vessel")
    return act_page(
        request,
        bound(request, OtherBucketForm),
        name_other_bucket,
        template="buckets/other_bucket.html",
        about={"report": row, "sender": sender_of(client_address(request), timezone.now())},
        context={
            "code": code,
            "others": others.order_by("vessel__code"),
            "names": person(request) is not None,
        },
        then=lambda report: bucket_url(code),
        said=lambda report: f"{report.fill.vessel.code} is held, too. A technician looks at both.",
    )
