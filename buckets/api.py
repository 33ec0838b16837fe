"""The API of this app: the same acts and questions as its pages."""

from django.urls import URLPattern, path  # noqa: F401

urlpatterns: list[URLPattern] = []
