from django.urls import URLPattern, path

from safety.views import checks

urlpatterns: list[URLPattern] = [
    path("checks/", checks.checks, name="checks"),
    path("checks/record/", checks.record_check, name="record-check"),
    path("checks/cleaned/", checks.tick_cleaning, name="tick-cleaning"),
    path("checks/<int:pk>/correct/", checks.correct_check, name="correct-check"),
]
