from functools import partial

from django.http import Http404
from django.urls import reverse

from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import needs
from studio.room.forms.rules import RuleForm, SwitchForm
from studio.room.operations.policy import set_policy as change
from studio.room.policy import WORDS, in_force
from studio.room.queries import changes_of, rules


@needs(rights.SEE, post=rights.ROOM)
def set_policy(request, name):
    """One rule: what it is now, what it was, and the form that changes it."""
    if name not in WORDS:
        raise Http404
    rule = next(rule for rule in rules(in_force()) if rule.name == name)
    if rule.switch:
        form = bound(request, SwitchForm, says=rule.says, initial={"value": int(rule.value)})
    else:
        form = bound(
            request, RuleForm, name=name, says=rule.says, unit=rule.unit, initial={"value": rule.value}
        )
    return act_page(
        request,
        form,
        partial(change, name=name),
        template="room/rule.html",
        context={"rule": rule, "changes": changes_of(name)[:40], "may_change": request.user.may(rights.ROOM)},
        then=lambda row: reverse("room"),
        said="The rule is changed. What was decided before stays as it was.",
    )
