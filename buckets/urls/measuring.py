"""Seconds through a flow cup, and the density of a glaze's powder."""

from django.urls import URLPattern, path

from buckets.views import flow

urlpatterns: list[URLPattern] = [
    path("<str:code>/flow/", flow.record_flow, name="record-flow"),
    path("<str:code>/flows/", flow.flows, name="flows"),
    path("<str:code>/flows/<int:pk>/take-back/", flow.take_back_flow, name="take-back-flow"),
    path("<str:code>/flows/<int:pk>/reference/", flow.mark_flow_reference, name="mark-flow-reference"),
    path("<str:code>/density/", flow.measure_density, name="measure-density"),
    path("<str:code>/densities/<int:pk>/take-back/", flow.take_back_density, name="take-back-density"),
]
