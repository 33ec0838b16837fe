"""Pages that show several apps: today, labels, what a scanned label opens."""

from django.urls import path, re_path

from studio.front.views import binder, dip_card, inspection, label_paper, labels, outdated, today

urlpatterns = [
    path("", today.today, name="today"),
    path("dip-card/", dip_card.dip_card, name="dip-card"),
    path("dip-card/seen/", dip_card.dip_card_seen, name="dip-card-seen"),
    path("labels/", labels.labels, name="labels"),
    path("labels/<str:serials>.pdf", label_paper.sheet, name="label-sheet"),
    path("binder/", binder.binder, name="binder"),
    path("binder/inspection/", inspection.inspection, name="inspection"),
    path("binder/inspection.pdf", inspection.inspection_pdf, name="inspection-pdf"),
    path("binder/labels/", outdated.labels_out_of_date, name="labels-out-of-date"),
    re_path(r"^l/(?P<number>S[0-9]{1,8})/$", label_paper.sheet_code, name="sheet-code"),
    path("l/<str:serial>/", labels.scanned, name="label"),
    path("l/<str:serial>/off/", labels.taken_off, name="take-off-label"),
    path("l/<str:serial>/applied/", labels.applied, name="apply-label"),
]
