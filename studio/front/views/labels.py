from uuid import uuid4, uuid5

from django import forms
from django.conf import settings
from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from buckets.models import Cup, Fill
from buckets.operations.labels import print_bucket_label
from safety.models import Container, Label
from safety.operations.labels import (
    apply_label,
    expired,
    labels_in_force,
    remember_scan,
    take_off_label,
)
from studio.errors import Refused
from studio.fields import ActForm
from studio.front.views.label_paper import about_to_print
from studio.materials.models import Lot
from studio.pages import act_page, ask_again, bound, go, person
from studio.people.doors import needs, open_to_all
from studio.room import policy

CUP, CONTAINER, LOT = (model._meta.label_lower for model in (Cup, Container, Lot))


class ChooseForm(ActForm):
    """Which buckets get a new label."""

    fills = forms.ModelMultipleChoiceField(
        Fill.objects.filter(emptied_at=None).select_related("vessel"),
        label="Buckets",
        error_messages={"required": "Tick at least one bucket."},
    )


@needs("see", post="wet")
def labels(request):
    """Choose buckets, print their labels; what was printed lately."""
    form = bound(request, ChooseForm)
    if request.method == "POST" and form.is_valid():
        try:
            printed = [
                print_bucket_label(
                    fill=fill, by=person(request), key=uuid5(form.cleaned_data["key"], str(fill.pk))
                )
                for fill in form.cleaned_data["fills"]
            ]
        except Refused as refusal:
            ask_again(form, refusal)
        else:
            serials = ",".join(label.serial for label in printed)
            messages.success(
                request, f"Printed as {serials}. The labels before them are void: take them off."
            )
            return go(request, f"{reverse('labels')}?printed={serials}")
    fills = list(Fill.objects.filter(emptied_at=None).select_related("vessel").order_by("vessel__code"))
    in_force = labels_in_force("buckets.fill", [fill.pk for fill in fills])
    now, rules = timezone.now(), policy.in_force()
    for fill in fills:
        fill.label = in_force.get(fill.pk)
        fill.label_expired = fill.label is not None and expired(fill.label, now, rules)
    lately = list(Label.objects.select_related("printed_by")[:20])
    for label in lately:
        label.expired = expired(label, now, rules)
    context = {
        "form": form,
        "fills": fills,
        "ticked": set(request.POST.getlist("fills")) | set(request.GET.getlist("fill")),
        "printed": request.GET.get("printed", ""),
        "lately": lately,
        **about_to_print(request.GET.get("printed", "")),
    }
    return render(request, "front/labels.html", context, status=422 if form.errors else 200)


@open_to_all
def scanned(request, serial):
    """What a printed QR opens: the bucket, or a red page when the label is no longer the one in force."""
    label, now = Label.objects.filter(serial=serial.upper()).first(), timezone.now()
    rules = policy.in_force()
    if not request.user.is_authenticated and not rules.open_bucket_pages:
        return redirect(f"{settings.LOGIN_URL}?next={request.path}")
    if label is None:
        return render(request, "front/label_unknown.html", {"serial": serial}, status=404)
    if request.method == "GET":
        remember_scan(label, now)
    if label.on_kind == CUP:
        return redirect("cup", label.on_id)
    if label.state == Label.State.VOID:
        return render(request, "front/label_void.html", _void_context(label), status=410)
    if expired(label, now, rules):
        context = {"label": label, "bucket_url": _bucket_url(label), "again": _again(label)}
        return render(request, "front/label_expired.html", context, status=410)
    if label.on_kind in (CONTAINER, LOT) and not request.user.is_authenticated:
        return render(request, "front/label_says.html", {"label": label, "hazards": label.content["hazards"]})
    if label.on_kind == "batches.batch":
        return (
            redirect("batch", _batch_number(label))
            if request.user.is_authenticated
            else _working(request, label)
        )
    if label.state == Label.State.PRINTED and request.user.is_authenticated:
        context = {"label": label, "bucket_url": _bucket_url(label), "key": uuid4()}
        return render(request, "front/label_printed.html", context)
    return redirect(_bucket_url(label))


@needs("use")
def taken_off(request, serial):
    """An old label was still on a bucket, and is off now."""
    if request.method != "POST":
        return redirect("label", serial)
    label = get_object_or_404(Label, serial=serial)
    return act_page(
        request,
        bound(request, ActForm),
        take_off_label,
        template="front/label_void.html",
        about={"label": label},
        context=_void_context(label),
        then=_bucket_url,
        said=f"Noted: the old label {label.serial} is off.",
    )


@needs("use")
def applied(request, serial):
    """It is on the bucket now."""
    label = get_object_or_404(Label, serial=serial)
    return act_page(
        request,
        bound(request, ActForm),
        apply_label,
        template="front/label_printed.html",
        about={"label": label},
        context={"bucket_url": _bucket_url(label), "key": uuid4()},
        then=_bucket_url,
        said=f"Label {label.serial} is on {'the bucket' if label.vessel_code else 'its container'}.",
    )


def _bucket_url(label: Label) -> str:
    """The page of what the label is on."""
    if label.on_kind == CONTAINER:
        return reverse("container", args=[label.on_id])
    if label.on_kind == LOT:
        return reverse("lot", args=[label.content["lot"]])
    return reverse("bucket", args=[label.vessel_code]) if label.vessel_code else reverse("shelf")


def _again(label: Label) -> str:
    """Where a new label is printed for the same thing."""
    if label.on_kind == CONTAINER:
        return reverse("print-container-label", args=[label.on_id])
    if label.on_kind == LOT:
        return reverse("print-lot-label", args=[label.content["lot"]])
    return f"{reverse('labels')}?fill={label.on_id}"


def _batch_number(label: Label) -> str:
    return label.content["batch"]


def _working(request, label: Label):
    return render(request, "front/label_working.html", {"label": label})


def _void_context(label: Label) -> dict:
    """The label in force where this one was: on the same bucket now, whatever is in it."""
    if label.on_kind in (CONTAINER, LOT):
        current = labels_in_force(label.on_kind, [label.on_id]).get(label.on_id)
    else:
        fill = Fill.objects.filter(vessel__code=label.vessel_code, emptied_at=None).first()
        current = labels_in_force("buckets.fill", [fill.pk]).get(fill.pk) if fill else None
    on_page = label.vessel_code or (label.on_kind in (CONTAINER, LOT) and label.on_id)
    return {
        "label": label,
        "current": current,
        "bucket_url": _bucket_url(label) if on_page else "",
        "key": uuid4(),
        "is_off": label.taken_off_at is not None,
    }
