"""The API of people. Tokens are made and revoked on the pages only: a token can't make another."""

from typing import Any

from django import forms as django_forms
from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path, reverse
from rest_framework import serializers

from studio.api_kit import ListOf, One, RowOut, act_at, row_of
from studio.api_kit.asking import words
from studio.fields import ActForm
from studio.people import rights
from studio.people.doors import needs
from studio.people.forms import joining as joining_forms
from studio.people.forms import members as forms
from studio.people.models import Invitation, Member, Notice, SignOff
from studio.people.operations import dip_card, joining, members, notices, sign_offs
from studio.people.queries import people_here
from studio.people.views.once import link


class NameAndRole(RowOut):
    """Somebody of the studio, as everybody sees them."""

    class Meta:
        model = Member
        fields = ("id", "name", "role")


class SignOffOut(RowOut):
    """A sign-off; it counts until the end of expires_on or until it is withdrawn."""

    class Meta:
        model = SignOff
        fields = ("id", "member", "kind", "expires_on", "given_by", "given_at", "withdrawn_at")


class Person(RowOut):
    """Somebody of the studio, as a manager sees them."""

    sign_offs = serializers.SerializerMethodField(help_text="not withdrawn; look at expires_on")

    class Meta:
        model = Member
        fields = ("id", "name", "username", "role", "units", "joined_at", "left_at", "sign_offs")

    def get_sign_offs(self, member) -> SignOffOut(many=True):  # type: ignore[valid-type]
        return SignOffOut(member.sign_offs.filter(withdrawn_at=None), many=True).data


class Me(Person):
    """Whoever asks."""

    rights = serializers.SerializerMethodField(help_text="names of the rights in force now")

    class Meta(Person.Meta):
        fields = (*Person.Meta.fields, "rights")

    def get_rights(self, member) -> list[str]:
        return [right for right in rights.WORDS if member.may(right)]


class InvitationOut(RowOut):
    """An invitation. Its link is there in the first answer only: it is kept nowhere."""

    link = serializers.SerializerMethodField(help_text="the address to send; empty when asked again")

    class Meta:
        model = Invitation
        fields = ("id", "name", "role", "by", "at", "expires_at", "used_at", "withdrawn_at", "link")

    def get_link(self, invitation) -> str:
        code = getattr(invitation, "code", "")
        return link(reverse("join", args=[code]))["link"] if code else ""


class NoticeOut(RowOut):
    """What the studio tells whoever asks; address is a page of it."""

    class Meta:
        model = Notice
        fields = ("id", "words", "address", "at", "read_at")


class FindForm(django_forms.Form):
    q = words("Part of a name", 80)


@needs(rights.SEE)
class People(ListOf):
    """Names and roles of those in the studio."""

    operation = "people"
    query = FindForm
    queryset = people_here()
    serializer_class = NameAndRole

    def narrow(self, rows: QuerySet[Member], **asked: Any) -> QuerySet[Member]:
        return rows.filter(name__icontains=asked["q"])


@needs(rights.PEOPLE)
class OnePerson(One):
    """One person, those who left included."""

    operation = "person"
    queryset = Member.objects.all()
    serializer_class = Person


@needs(rights.SEE)
class Myself(One):
    """Whoever asks: role, sign-offs, rights."""

    operation = "me"
    serializer_class = Me

    def get_object(self):
        return self.request.user


@needs(rights.SEE)
class Notices(ListOf):
    """One's own notices, newest first."""

    operation = "notices"
    queryset = Notice.objects.all()
    serializer_class = NoticeOut

    def narrow(self, rows: QuerySet[Notice], **asked: Any) -> QuerySet[Notice]:
        return rows.filter(to=self.request.user)


def _own_notice(request: Any, pk: int) -> dict[str, Any]:
    return {"notice": get_object_or_404(Notice, pk=pk, to=request.user)}


@needs(rights.PEOPLE)
class Invitations(ListOf):
    """Invitations, newest first."""

    operation = "invitations"
    queryset = Invitation.objects.all()
    serializer_class = InvitationOut


def _sign_off(request: Any, pk: int) -> dict[str, Any]:
    sign_off = get_object_or_404(SignOff.objects.select_related("member"), pk=pk)
    return {"sign_off": sign_off, "member": sign_off.member}


def _act(
    where: str, do: Any, form: Any, output: Any, about: Any = None, right: str = rights.PEOPLE
) -> URLPattern:
    return act_at(where, do, form=form, output=output, about=about, right=right)


_member = row_of("member", Member)
_invitation = row_of("invitation", Invitation)
PERSON = "people/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("people/", People.as_view(), name="api-people"),
    path(PERSON, OnePerson.as_view(), name="api-person"),
    _act(PERSON, members.change_member, forms.ChangeMember, Person, _member),
    _act(PERSON, sign_offs.give_sign_off, forms.GiveSignOff, SignOffOut, _member),
    _act(PERSON, members.leave, ActForm, Person, _member),
    _act(PERSON, members.come_back, ActForm, Person, _member),
    _act("sign-offs/<int:pk>/", sign_offs.withdraw_sign_off, ActForm, SignOffOut, _sign_off),
    path("me/", Myself.as_view(), name="api-me"),
    _act("me/", members.change_own_details, forms.OwnDetails, Me, right=rights.OWN),
    _act("me/", dip_card.dip_card_seen, ActForm, Me, right=rights.OWN),
    path("notices/", Notices.as_view(), name="api-notices"),
    _act("notices/", notices.mark_all_read, ActForm, NameAndRole, right=rights.SEE),
    _act("notices/<int:pk>/", notices.mark_read, ActForm, NoticeOut, _own_notice, rights.SEE),
    path("invitations/", Invitations.as_view(), name="api-invitations"),
    _act("invitations/", joining.invite, joining_forms.Invite, InvitationOut),
    _act("invitations/<int:pk>/", joining.withdraw_invitation, ActForm, InvitationOut, _invitation),
]
