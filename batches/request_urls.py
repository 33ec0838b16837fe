from django.urls import path

from batches.views import requests

urlpatterns = [
    path("", requests.making, name="making"),
    path("requests/<int:number>/", requests.one, name="request"),
    path("requests/<int:number>/approve/", requests.approve, name="approve-request"),
    path("requests/<int:number>/decline/", requests.decline, name="decline-request"),
    path("requests/<int:number>/withdraw/", requests.withdraw, name="withdraw-request"),
]
