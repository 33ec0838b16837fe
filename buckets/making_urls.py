"""Addresses below /making/ that need to know what is in a bucket."""

from django.urls import path

from batches import urls  # noqa: F401 - registers the converter "batch"
from buckets.views import making

urlpatterns = [
    path("ask/", making.ask, name="ask"),
    path("<batch:number>/begin/", making.begin, name="begin-batch"),
    path("<batch:number>/abandon/", making.abandon, name="abandon-in-bucket"),
    path("<batch:number>/pour/", making.pour, name="pour-batch"),
]
