from django.urls import URLPattern, path

from safety.views import incidents

urlpatterns: list[URLPattern] = [
    path("spill/", incidents.report_spill, name="report-spill"),
    path("injury/", incidents.report_injury, name="report-injury"),
    path("spills/", incidents.spills, name="spills"),
    path("spills/<int:number>/", incidents.spill, name="spill"),
    path("spills/<int:number>/add/", incidents.add_to_spill, name="add-to-spill"),
    path("injuries/", incidents.injuries, name="injuries"),
    path("injuries/<int:number>/", incidents.injury, name="injury"),
    path("injuries/<int:number>/add/", incidents.add_to_injury, name="add-to-injury"),
]
