"""Addresses of people, all below /people/."""

from django.urls import path

from studio.people.views import joining, members, notices, pins, tablet

urlpatterns = [
    path("", members.people, name="people"),
    path("login/", joining.LogIn.as_view(), name="login"),
    path("logout/", joining.LogOut.as_view(), name="logout"),
    path("first/", joining.first, name="found-studio"),
    path("invite/", joining.invite, name="invite"),
    path("invitations/<int:pk>/withdraw/", joining.withdraw_invitation, name="withdraw-invitation"),
    path("room/", joining.add_room_account, name="add-room-account"),
    path("who/", tablet.who, name="who"),
    path("done/", tablet.done, name="done"),
    path("join/<str:code>/", joining.join, name="join"),
    path("notices/", notices.notices, name="notices"),
    path("notices/<int:pk>/", notices.read_notice, name="mark-read"),
    path("me/", members.me, name="me"),
    path("me/change/", members.change_own_details, name="change-own-details"),
    path("me/password/", joining.change_password, name="change-password"),
    path("me/pin/", pins.set_pin, name="set-pin"),
    path("me/pin/remove/", pins.remove_own_pin, name="remove-own-pin"),
    path("me/tokens/", members.make_token, name="make-token"),
    path("tokens/<int:pk>/revoke/", members.revoke_token, name="revoke-token"),
    path("sign-offs/<int:pk>/withdraw/", members.withdraw_sign_off, name="withdraw-sign-off"),
    path("<int:pk>/", members.person, name="person"),
    path("<int:pk>/change/", members.change_member, name="change-member"),
    path("<int:pk>/sign-off/", members.give_sign_off, name="give-sign-off"),
    path("<int:pk>/pin/remove/", pins.remove_pin, name="remove-pin"),
    path("<int:pk>/leave/", members.leave, name="leave"),
    path("<int:pk>/come-back/", members.come_back, name="come-back"),
    path("<int:pk>/password/", joining.allow_new_password, name="allow-new-password"),
    path("<int:pk>/password/<str:code>/", joining.set_new_password, name="set-new-password"),
]
