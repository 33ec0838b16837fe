"""The bucket itself, and the acts on it."""

from django.urls import URLPattern, path

from buckets.views import bucket, care, caring, holding, readings, shelf, taking_over

urlpatterns: list[URLPattern] = [
    path("", shelf.shelf, name="shelf"),
    path("take-over/", taking_over.take_over, name="take-over-bucket"),
    path("<str:code>/", bucket.bucket, name="bucket"),
    path("<str:code>/stir/", care.stir, name="stir"),
    path("<str:code>/water/", caring.water_in, name="water-in"),
    path("<str:code>/sieve/", caring.sieve_fill, name="sieve-fill"),
    path("<str:code>/used/", care.log_use, name="log-use"),
    path("<str:code>/empty/", caring.empty_fill, name="empty-fill"),
    path("<str:code>/hold/", holding.hold_fill, name="hold-fill"),
    path("<str:code>/lift/", holding.lift_hold, name="lift-hold"),
    path("<str:code>/release/", holding.release_fill, name="release-fill"),
    path("<str:code>/reading/", readings.record, name="record-reading"),
    path("<str:code>/readings/<int:pk>/", readings.reading, name="reading"),
    path("<str:code>/readings/<int:pk>/take-back/", care.take_back_reading, name="take-back-reading"),
    path("<str:code>/care/<int:pk>/take-back/", care.take_back_care, name="take-back-care"),
    path("<str:code>/uses/<int:pk>/take-back/", care.take_back_use, name="take-back-use"),
]
