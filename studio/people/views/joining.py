"""The ways in and out: first manager, invitation, joining, signing in and out, passwords."""

from django.conf import settings
from django.contrib.auth import authenticate, login, update_session_auth_hash
from django.contrib.auth.views import LoginView, LogoutView
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from studio import first_code
from studio.fields import ActForm
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import EACH_TIME, NEVER, needs, open_to_all
from studio.people.errors import LinkClosed
from studio.people.forms import joining as forms
from studio.people.models import Invitation, Member
from studio.people.operations import joining, passwords
from studio.people.tablet import STAYS_SIGNED_IN
from studio.people.views.once import link, show_once


@open_to_all
class LogIn(LoginView):
    """Signing in; the session begins anew and ``next`` leads nowhere but here."""

    authentication_form = forms.LogIn
    template_name = "people/login.html"
    redirect_authenticated_user = True

    def form_valid(self, form):
        answer = super().form_valid(form)
        if form.get_user().is_room:
            self.request.session.set_expiry(STAYS_SIGNED_IN)
        return answer

    def form_invalid(self, form):
        return self.render_to_response(self.get_context_data(form=form), status=422)


@needs(rights.SEE, at_tablet=EACH_TIME)
class LogOut(LogoutView):
    """Signing out, by POST only. The room's tablet is signed out by a technician, with their PIN."""

    def post(self, request, *args, **kwargs):
        if request.tablet.room and not request.user.holds(rights.ROOM):
            sentence = "The tablet stays signed in for everybody; a technician signs it out."
            return render(request, "403.html", {"sentence": sentence}, status=403)
        return super().post(request, *args, **kwargs)


@open_to_all
@never_cache
@sensitive_post_parameters()
def first(request):
    """The first manager's page, while the studio has nobody in it."""
    if Member.objects.exists():
        return redirect("login")
    if request.method != "POST" and not first_code.matches(request.GET.get("code", "")):
        return render(request, "people/link_closed.html", {"sentence": joining.NO_CODE}, status=410)
    form = bound(request, forms.Found, initial={"code": request.GET.get("code", "")})
    return act_page(
        request,
        form,
        joining.found_studio,
        template="people/first.html",
        then=lambda member: _straight_in(request, member),
        said="The studio is yours. Next: people, vessels, scales, materials.",
    )


@open_to_all
@never_cache
@sensitive_post_parameters()
def join(request, code):
    """Where an invitation leads: choose a name and a password."""
    if request.user.is_authenticated:
        return render(request, "people/join_signed_in.html")
    try:
        invitation = joining.open_invitation(code)
    except LinkClosed as closed:
        if request.method != "POST":
            return render(request, "people/link_closed.html", {"sentence": closed.sentence}, status=410)
        invitation = None  # a repeated post still finds its first answer
    form = bound(request, forms.Join, initial={"name": invitation.name if invitation else ""})
    return act_page(
        request,
        form,
        lambda *, by, **said: joining.join(**said),
        template="people/join.html",
        about={"code": code},
        context={"invitation": invitation},
        then=lambda member: _straight_in(request, member),
        said=lambda member: f"Welcome, {member}.",
    )


def _straight_in(request, member):
    """Sign in with what was just typed; who only repeats the key of the form has no password to show."""
    person = authenticate(request, username=member.username, password=request.POST.get("password"))
    if person is None:
        return reverse("login")
    login(request, person)
    return settings.LOGIN_REDIRECT_URL


@needs(rights.PEOPLE)
@never_cache
@sensitive_post_parameters()
def add_room_account(request):
    """An account for a shared tablet."""
    return act_page(
        request,
        bound(request, forms.RoomAccount, initial={"name": "the room"}),
        joining.add_room_account,
        template="people/add_room_account.html",
        context={"back": reverse("people")},
        then=lambda row: "people",
        said=lambda row: f"Sign the tablet in as {row.username}; it stays signed in.",
    )


@needs(rights.PEOPLE)
def invite(request):
    """Make an invitation link, shown once."""
    form = bound(request, forms.Invite)
    return show_once(
        request,
        form,
        joining.invite,
        template="people/invite.html",
        shown="people/invited.html",
        secret=lambda row: link(reverse("join", args=[row.code]) if hasattr(row, "code") else ""),
    )


@needs(rights.PEOPLE)
def withdraw_invitation(request, pk):
    """Close a link that nobody used yet."""
    invitation = get_object_or_404(Invitation, pk=pk)
    return act_page(
        request,
        bound(request, ActForm),
        joining.withdraw_invitation,
        template="people/confirm.html",
        about={"invitation": invitation},
        context={
            "question": f"Withdraw the link for {invitation.name}?",
            "yes": "Withdraw it",
            "back": reverse("people"),
        },
        then=lambda row: "people",
        said=lambda row: f"The link for {row.name} opens nothing any more.",
    )


@needs(rights.OWN, at_tablet=NEVER)
@never_cache
@sensitive_post_parameters()
def change_password(request):
    """Change one's own password; other sessions end, this one goes on."""

    def then(member):
        update_session_auth_hash(request, member)
        return "me"

    return act_page(
        request,
        bound(request, forms.ChangePassword),
        passwords.change_password,
        template="people/password.html",
        then=then,
        said="Your password is changed. Wherever else you were signed in, you are signed out.",
    )


@needs(rights.PEOPLE)
def allow_new_password(request, pk):
    """Make a link by which somebody chooses a new password, shown once."""
    member = get_object_or_404(Member, pk=pk)
    return show_once(
        request,
        bound(request, ActForm),
        passwords.allow_new_password,
        template="people/confirm.html",
        shown="people/password_link.html",
        about={"member": member},
        context={
            "question": f"A new password for {member}?",
            "says": f"You get a link for {member}, who chooses the password. Until then the old one works.",
            "yes": "Make the link",
            "back": reverse("person", args=[pk]),
        },
        secret=lambda row: link(
            reverse("set-new-password", args=[row.pk, row.code]) if hasattr(row, "code") else ""
        ),
    )


@open_to_all
@never_cache
@sensitive_post_parameters()
def set_new_password(request, pk, code):
    """Where that link leads."""
    member = Member.objects.filter(pk=pk).first()
    try:
        passwords.refuse_closed_link(member, code)
    except LinkClosed as closed:
        if request.method != "POST" or member is None:
            return render(request, "people/link_closed.html", {"sentence": closed.sentence}, status=410)
    return act_page(
        request,
        bound(request, forms.NewPassword),
        lambda *, by, **said: passwords.set_new_password(**said),
        template="people/new_password.html",
        about={"member": member, "code": code},
        then=lambda row: "login",
        said="Your new password is set. Sign in with it.",
    )
