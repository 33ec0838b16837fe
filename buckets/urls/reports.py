"""What was reported, photos of it, where a bucket came from and where a lot went."""

from django.urls import URLPattern, path, re_path

from buckets.views import reports

LOT = r"^lots/(?P<code>[A-Za-z0-9._-]+)/"

urlpatterns: list[URLPattern] = [
    re_path(rf"{LOT}$", reports.trace_lot, name="trace-lot"),
    re_path(rf"{LOT}hold/$", reports.hold_all_of_lot, name="hold-all-of-lot"),
    re_path(rf"{LOT}lift/$", reports.lift_all_of_lot, name="lift-all-of-lot"),
    re_path(r"^photos/(?P<pk>[0-9]{1,18})/(?P<size>small|large)/$", reports.photo, name="photo"),
    path("<str:code>/report/", reports.report, name="report"),
    path("<str:code>/reports/<int:pk>/", reports.report_page, name="report-page"),
    path("<str:code>/reports/<int:pk>/answer/", reports.answer, name="answer-report"),
    path("<str:code>/reports/<int:pk>/doubt/", reports.set_doubt, name="set-doubt"),
    path("<str:code>/reports/<int:pk>/worst-case/", reports.worst_case, name="worst-case"),
    path("<str:code>/not-tinted/", reports.clear_tint, name="clear-tint"),
    path("<str:code>/trace/", reports.trace_fill, name="trace-fill"),
]
