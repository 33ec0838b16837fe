"""The API of people. Tokens are made and revoked on the pages only: a token can't make another."""

from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path, reverse
from drf_spectacular.utils import extend_schema
from rest_framework import generics, serializers

from studio.api_kit import act_view
from studio.fields import ActForm
from studio.people import queries, rights
from studio.people.doors import needs
from studio.people.forms import joining as joining_forms
from studio.people.forms import members as forms
from studio.people.models import Invitation, Member, SignOff
from studio.people.operations import joining, members, sign_offs
from studio.people.views.once import link


class NameAndRole(serializers.ModelSerializer):
    """Somebody of the studio, as everybody sees them."""

    class Meta:
        model = Member
        fields = ("id", "name", "role")


class SignOffOut(serializers.ModelSerializer):
    """A sign-off; it counts until the end of ``expires_on`` or until it is withdrawn."""

    class Meta:
        model = SignOff
        fields = ("id", "member", "kind", "expires_on", "given_by", "given_at", "withdrawn_at")


class Person(serializers.ModelSerializer):
    """Somebody of the studio, as a manager sees them."""

    sign_offs = serializers.SerializerMethodField(help_text="not withdrawn; look at expires_on")

    class Meta:
        model = Member
        fields = ("id", "name", "username", "role", "units", "joined_at", "left_at", "sign_offs")

    def get_sign_offs(self, member) -> list[dict]:
        return SignOffOut(member.sign_offs.filter(withdrawn_at=None), many=True).data


class Me(Person):
    """Whoever asks."""

    rights = serializers.SerializerMethodField(help_text="names of the rights in force now")

    class Meta(Person.Meta):
        fields = (*Person.Meta.fields, "rights")

    def get_rights(self, member) -> list[str]:
        return [right for right in rights.WORDS if member.may(right)]


class InvitationOut(serializers.ModelSerializer):
    """An invitation. ``link`` is there in the first answer only: it is kept nowhere."""

    link = serializers.SerializerMethodField(help_text="the address to send; empty when asked again")

    class Meta:
        model = Invitation
        fields = ("id", "name", "role", "by", "at", "expires_at", "used_at", "withdrawn_at", "link")

    def get_link(self, invitation) -> str:
        code = getattr(invitation, "code", "")
        return link(reverse("join", args=[code]))["link"] if code else ""


@needs(rights.SEE)
class People(generics.ListAPIView):
    """Names and roles of those in the studio."""

    queryset = queries.people()
    serializer_class = NameAndRole


@needs(rights.PEOPLE)
class OnePerson(generics.RetrieveAPIView):
    """One person, those who left included."""

    queryset = Member.objects.all()
    serializer_class = Person


@needs(rights.SEE)
class Myself(generics.RetrieveAPIView):
    """Whoever asks: role, sign-offs, rights."""

    serializer_class = Me

    def get_object(self):
        return self.request.user


@needs(rights.PEOPLE)
class Invitations(generics.ListAPIView):
    """Invitations, newest first."""

    queryset = Invitation.objects.all()
    serializer_class = InvitationOut


def _member(request, pk):
    return {"member": get_object_or_404(Member, pk=pk)}


def _sign_off(request, pk):
    sign_off = get_object_or_404(SignOff.objects.select_related("member"), pk=pk)
    return {"sign_off": sign_off, "member": sign_off.member}


def _invitation(request, pk):
    return {"invitation": get_object_or_404(Invitation, pk=pk)}


def _act(name, form, do, output, about=None, right=rights.PEOPLE):
    return act_view(name, right=right, form=form, do=do, output=output, about=about)


urlpatterns: list[URLPattern] = [
    path("people/", extend_schema(operation_id="people")(People).as_view(), name="api-people"),
    path("people/<int:pk>/", OnePerson.as_view(), name="api-person"),
    path("me/", Myself.as_view(), name="api-me"),
    path(
        "me/change-own-details/",
        _act("change_own_details", forms.OwnDetails, members.change_own_details, Me, right=rights.SEE),
        name="api-change-own-details",
    ),
    path("invitations/", Invitations.as_view(), name="api-invitations"),
    path(
        "invitations/invite/",
        _act("invite", joining_forms.Invite, joining.invite, InvitationOut),
        name="api-invite",
    ),
    path(
        "invitations/<int:pk>/withdraw-invitation/",
        _act("withdraw_invitation", ActForm, joining.withdraw_invitation, InvitationOut, _invitation),
        name="api-withdraw-invitation",
    ),
    path(
        "people/<int:pk>/change-member/",
        _act("change_member", forms.ChangeMember, members.change_member, Person, _member),
        name="api-change-member",
    ),
    path(
        "people/<int:pk>/give-sign-off/",
        _act("give_sign_off", forms.GiveSignOff, sign_offs.give_sign_off, SignOffOut, _member),
        name="api-give-sign-off",
    ),
    path(
        "sign-offs/<int:pk>/withdraw-sign-off/",
        _act("withdraw_sign_off", ActForm, sign_offs.withdraw_sign_off, SignOffOut, _sign_off),
        name="api-withdraw-sign-off",
    ),
    path(
        "people/<int:pk>/leave/",
        _act("leave", ActForm, members.leave, Person, _member),
        name="api-leave",
    ),
    path(
        "people/<int:pk>/come-back/",
        _act("come_back", ActForm, members.come_back, Person, _member),
        name="api-come-back",
    ),
]
