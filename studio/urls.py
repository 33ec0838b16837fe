"""Every address of Stirbook, by app."""

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("studio.front.urls")),
    path("people/", include("studio.people.urls")),
    path("room/", include("studio.room.urls")),
    path("store/", include("studio.materials.urls")),
    path("recipes/", include("studio.recipes.urls")),
    path("binder/", include("safety.urls")),
    path("making/", include("buckets.making_urls")),
    path("making/", include("batches.request_urls")),
    path("making/", include("batches.urls")),
    path("shelf/", include("buckets.urls")),
    path("api/v1/", include("studio.api")),
]

handler400 = "studio.api_kit.problems.bad_request"
handler404 = "studio.api_kit.problems.not_there"
handler500 = "studio.api_kit.problems.went_wrong"
