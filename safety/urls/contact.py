from django.urls import URLPattern, path

from safety.views import contact

urlpatterns: list[URLPattern] = [
    path("leach-tests/", contact.leach_tests, name="leach-tests"),
    path("leach-tests/record/", contact.record_leach_test, name="record-leach-test"),
    path("leach-tests/<int:number>/", contact.leach_test, name="leach-test"),
    path("leach-tests/<int:number>.pdf", contact.leach_test_file, name="leach-test-file"),
    path("leach-tests/<int:number>/correct/", contact.correct_leach_test, name="correct-leach-test"),
]
