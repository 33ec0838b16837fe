"""Labels: at most one in force on a thing, and none on what is gone."""

from collections.abc import Iterator

from django.db.models import Count, F, OuterRef, Q, Subquery

from batches.models import Batch
from buckets.models import Cup, Fill, Parent
from safety.models import Container, Label
from studio.front.proof.making import CLOSED
from studio.front.proof.problem import Problem
from studio.materials.models import Lot

FILL, BATCH, CUP, CONTAINER, LOT = (model._meta.label_lower for model in (Fill, Batch, Cup, Container, Lot))
VOID = Q(state=Label.State.VOID)


def problems() -> Iterator[Problem]:
    in_force = Label.objects.exclude(VOID).order_by("pk")
    crowded = in_force.order_by().values("on_kind", "on_id").annotate(n=Count("pk")).filter(n__gt=1)
    for row in crowded:
        yield Problem(f"{row['on_kind']} {row['on_id']}", f"has {row['n']} labels in force.")
    for label in Label.objects.filter((VOID & Q(void_at=None)) | (~VOID & Q(void_at__isnull=False))):
        yield Problem(f"label {label}", f"is {label.state}, void at {label.void_at}.")
    here = Fill.objects.filter(emptied_at=None).order_by()
    for label in in_force.filter(on_kind=FILL).exclude(on_id__in=here.values("pk")):
        yield Problem(f"label {label}", "is in force on a fill that is not in a bucket any more.")
    vessel = here.filter(pk=OuterRef("on_id")).values("vessel__code")[:1]
    elsewhere = (
        in_force.filter(on_kind=FILL).annotate(code=Subquery(vessel)).filter(~Q(vessel_code=F("code")))
    )
    for label in elsewhere:
        said = f"says {label.vessel_code}, its fill is in {label.code}."  # type: ignore[attr-defined]
        yield Problem(f"label {label}", said)
    poured = Parent.objects.filter(batch__isnull=False).values("batch")
    going = Batch.objects.exclude(state__in=CLOSED).exclude(pk__in=poured).order_by()
    for label in in_force.filter(on_kind=BATCH).exclude(on_id__in=going.values("pk")):
        yield Problem(f"label {label}", "is in force on a batch that is poured or closed.")
    there = Cup.objects.filter(gone_at=None).order_by()
    for label in in_force.filter(on_kind=CUP).exclude(on_id__in=there.values("pk")):
        yield Problem(f"label {label}", "is in force on a cup that is gone.")
    kept = Container.objects.filter(gone_at=None).order_by()
    for label in in_force.filter(on_kind=CONTAINER).exclude(on_id__in=kept.values("pk")):
        yield Problem(f"label {label}", "is in force on a container that is gone.")
    for label in in_force.filter(on_kind=LOT).exclude(on_id__in=Lot.objects.order_by().values("pk")):
        yield Problem(f"label {label}", "is in force on a lot that is not in the store.")
    for label in in_force.exclude(on_kind__in=(FILL, BATCH, CUP, CONTAINER, LOT)):
        yield Problem(f"label {label}", f"is on a {label.on_kind}, which bears no label.")
