from django.urls import URLPattern, path, re_path

from safety.views import containers, stocks

urlpatterns: list[URLPattern] = [
    path("containers/", containers.containers, name="containers"),
    path("containers/add/", containers.add_container, name="add-container"),
    path("containers/<int:pk>/", containers.container, name="container"),
    path("containers/<int:pk>/print/", containers.print_container_label, name="print-container-label"),
    path("containers/<int:pk>/gone/", containers.container_gone, name="container-gone"),
    re_path(r"^lots/(?P<code>[A-Za-z0-9._-]+)/label/$", containers.print_lot_label, name="print-lot-label"),
    path("label-paper/", stocks.stocks, name="stocks"),
    path("label-paper/add/", stocks.add_stock, name="add-stock"),
    path("label-paper/<int:pk>/", stocks.stock, name="stock"),
    path("label-paper/<int:pk>/change/", stocks.change_stock, name="change-stock"),
    path("label-paper/<int:pk>/retire/", stocks.retire_stock, name="retire-stock"),
    path("label-paper/<int:pk>/bring-back/", stocks.bring_back_stock, name="bring-back-stock"),
    path("label-paper/<int:pk>/test.pdf", stocks.stock_test, name="stock-test"),
]
