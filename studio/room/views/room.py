from django.shortcuts import render

from studio.people import rights
from studio.people.doors import needs
from studio.room import queries, steps
from studio.room.models import Body, FlowCup, Glass, Hydrometer, Scale, Vessel
from studio.room.policy import in_force


@needs(rights.SEE)
def room(request):
    """What stands in the room, and what is still to be set up."""
    policy = in_force()
    vessels = [
        (vessel, queries.litres_of(vessel, policy)) for vessel in Vessel.objects.order_by("state", "code")
    ]
    way = steps.progress()
    return render(
        request,
        "room/room.html",
        {
            "way": [(step, request.user.may(step.step.right)) for step in way],
            "next_step": next((step for step in way if not step.done), None),
            "done": sum(step.done for step in way),
            "vessels": sorted(vessels, key=lambda pair: pair[0].state == Vessel.State.AWAY),
            "limit_pct": policy.fill_limit_pct,
            "scales": sorted(Scale.objects.all(), key=lambda scale: scale.retired_at is not None),
            "glasses": sorted(Glass.objects.all(), key=lambda glass: glass.retired_at is not None),
            "floats": sorted(Hydrometer.objects.all(), key=lambda row: row.retired_at is not None),
            "cups": sorted(FlowCup.objects.all(), key=lambda row: row.retired_at is not None),
            "bodies": sorted(Body.objects.all(), key=lambda body: body.retired_at is not None),
            "rules": queries.rules(policy),
            "may_change": request.user.may(rights.ROOM),
        },
    )
