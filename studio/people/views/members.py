"""The studio's people, one person, and oneself."""

from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from studio.calc.days import said_day
from studio.fields import ActForm
from studio.pages import act_page, bound
from studio.people import queries, rights
from studio.people.acts import story
from studio.people.doors import NEVER, needs
from studio.people.forms import members as forms
from studio.people.models import Member, SignOff, Token
from studio.people.operations import members, sign_offs, tokens
from studio.people.views.once import show_once

ON_A_PAGE = 100
OF_A_STORY = 40


@needs(rights.SEE)
def people(request):
    """Names and roles for everybody; sign-offs, links and who left for a manager."""
    manages = request.user.may(rights.PEOPLE)
    left = manages and request.GET.get("left") == "1"
    find = request.GET.get("q", "").replace("\x00", "")[:80]
    page = Paginator(queries.people(left=left, find=find), ON_A_PAGE).get_page(request.GET.get("page"))
    facts = {"page": page, "manages": manages, "left": left, "find": find}
    facts["keeps_pins"] = request.user.holds(rights.ROOM) and not left
    if manages:
        facts["invitations"] = queries.unused_invitations(timezone.now())
        facts["tablets"] = queries.tablets(left=left)
    return render(request, "people/people.html", facts)


@needs(rights.PEOPLE)
def person(request, pk):
    """One person, for a manager: role, sign-offs, tokens, what was done about them."""
    member = get_object_or_404(Member, pk=pk)
    facts = {
        "member": member,
        "sign_offs": member.sign_offs.filter(withdrawn_at=None).select_related("given_by"),
        "tokens": member.tokens.filter(revoked_at=None),
        "story": queries.told(story(member)[:OF_A_STORY]),
    }
    return render(request, "people/person.html", facts)


@needs(rights.OWN)
def me(request):
    """Oneself: what one may do, units, password, tokens."""
    facts = {
        "sign_offs": request.user.sign_offs.filter(withdrawn_at=None).select_related("given_by"),
        "may_do": queries.may_do(request.user),
        "tokens": request.user.tokens.filter(revoked_at=None),
    }
    return render(request, "people/me.html", facts)


def _about_person(request, pk, form, do, template, said, **context):
    """An act about one person that returns to their page."""
    member = get_object_or_404(Member, pk=pk)
    return act_page(
        request,
        form(member),
        do,
        template=template,
        about={"member": member},
        context={"back": reverse("person", args=[pk]), **context},
        then=lambda row: reverse("person", args=[pk]),
        said=said,
    )


@needs(rights.PEOPLE)
def change_member(request, pk):
    def form(member):
        return bound(request, forms.ChangeMember, initial={"name": member.name, "role": member.role})

    said = "{0} is a {0.role} now.".format
    return _about_person(request, pk, form, members.change_member, "people/change.html", said)


@needs(rights.PEOPLE)
def give_sign_off(request, pk):
    def form(member):
        return bound(request, forms.GiveSignOff)

    def said(row):
        return f"{row.member} is signed off for {row.kind} until {said_day(row.expires_on)}."

    return _about_person(request, pk, form, sign_offs.give_sign_off, "people/sign_off.html", said)


@needs(rights.PEOPLE)
def withdraw_sign_off(request, pk):
    sign_off = get_object_or_404(SignOff.objects.select_related("member"), pk=pk)
    back = reverse("person", args=[sign_off.member_id])
    return act_page(
        request,
        bound(request, ActForm),
        sign_offs.withdraw_sign_off,
        template="people/confirm.html",
        about={"sign_off": sign_off, "member": sign_off.member},
        context={
            "question": f"Take back the sign-off for {sign_off.kind}?",
            "says": f"{sign_off.member} may not do it any more, from now on.",
            "yes": "Take it back",
            "back": back,
        },
        then=lambda row: back,
        said=f"{sign_off.member} is no longer signed off for {sign_off.kind}.",
    )


@needs(rights.PEOPLE)
def leave(request, pk):
    return _about_person(
        request,
        pk,
        lambda member: bound(request, ActForm),
        members.leave,
        "people/leave.html",
        _said_of_leaving,
    )


def _said_of_leaving(row):
    if row.is_room:
        return f"The account of {row} is closed."
    return f"{row} has left. What they did stays under their name."


@needs(rights.PEOPLE)
def come_back(request, pk):
    return _about_person(
        request,
        pk,
        lambda member: bound(request, ActForm),
        members.come_back,
        "people/come_back.html",
        lambda row: f"{row} is open again." if row.is_room else f"{row} is back, as a member.",
    )


@needs(rights.OWN)
def change_own_details(request):
    initial = {"name": request.user.name, "units": request.user.units}
    return act_page(
        request,
        bound(request, forms.OwnDetails, initial=initial),
        members.change_own_details,
        template="people/own_details.html",
        then=lambda row: "me",
        said="Kept.",
    )


@needs(rights.OWN, at_tablet=NEVER)
def make_token(request):
    """Make a token for a program, shown once."""
    return show_once(
        request,
        bound(request, forms.MakeToken),
        tokens.make_token,
        template="people/make_token.html",
        shown="people/token.html",
        secret=lambda row: {"secret": getattr(row, "secret", "")},
    )


@needs(rights.OWN)
def revoke_token(request, pk):
    """Revoke one's own token; a manager may revoke anybody's."""
    manages = request.user.may(rights.PEOPLE)
    rows = Token.objects.all() if manages else Token.objects.filter(member=request.user)
    token = get_object_or_404(rows, pk=pk)
    back = reverse("me") if token.member_id == request.user.pk else reverse("person", args=[token.member_id])
    return act_page(
        request,
        bound(request, ActForm),
        tokens.revoke_token,
        template="people/confirm.html",
        about={"token": token},
        context={
            "question": f"Revoke the token “{token.name}”?",
            "says": "The program that uses it is shut out at once.",
            "yes": "Revoke it",
            "back": back,
        },
        then=lambda row: back,
        said=f"The token “{token.name}” opens nothing any more.",
    )
