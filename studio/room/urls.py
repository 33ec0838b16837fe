from django.urls import path

from studio.room.views import bodies, instruments, room, rules, vessels

urlpatterns = [
    path("", room.room, name="room"),
    path("vessels/add/", vessels.add_vessel, name="add-vessel"),
    path("vessels/litres/", vessels.vessel_litres, name="vessel-litres"),
    path("vessels/<slug:code>/", vessels.vessel, name="vessel"),
    path("vessels/<slug:code>/change/", vessels.change_vessel, name="change-vessel"),
    path("vessels/<slug:code>/move/", vessels.move_vessel, name="move-vessel"),
    path("vessels/<slug:code>/put-away/", vessels.put_away_vessel, name="put-away-vessel"),
    path("vessels/<slug:code>/bring-back/", vessels.bring_back_vessel, name="bring-back-vessel"),
    path("scales/add/", instruments.add_scale, name="add-scale"),
    path("scales/<int:pk>/", instruments.scale, name="scale"),
    path("scales/<int:pk>/change/", instruments.change_scale, name="change-scale"),
    path("scales/<int:pk>/retire/", instruments.retire_scale, name="retire-scale"),
    path("scales/<int:pk>/bring-back/", instruments.bring_back_scale, name="bring-back-scale"),
    path("glass/add/", instruments.add_glass, name="add-glass"),
    path("glass/<int:pk>/", instruments.glass, name="glass"),
    path("glass/<int:pk>/change/", instruments.change_glass, name="change-glass"),
    path("glass/<int:pk>/retire/", instruments.retire_glass, name="retire-glass"),
    path("glass/<int:pk>/bring-back/", instruments.bring_back_glass, name="bring-back-glass"),
    path("bodies/add/", bodies.add_body, name="add-body"),
    path("bodies/<int:pk>/", bodies.body, name="body"),
    path("bodies/<int:pk>/change/", bodies.change_body, name="change-body"),
    path("bodies/<int:pk>/retire/", bodies.retire_body, name="retire-body"),
    path("bodies/<int:pk>/bring-back/", bodies.bring_back_body, name="bring-back-body"),
    path("rules/<slug:name>/", rules.set_policy, name="set-policy"),
]
