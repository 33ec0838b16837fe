from django.urls import path, re_path

from studio.materials.views import lots, store

LOT = r"^lots/(?P<code>[A-Za-z0-9._-]+)/"

urlpatterns = [
    path("", store.store, name="store"),
    path("add/", store.add_material, name="add-material"),
    path("add/several/", store.add_materials, name="add-materials"),
    path("density/", store.density, name="material-density"),
    path("<int:pk>/", store.material, name="material"),
    path("<int:pk>/change/", store.change_material, name="change-material"),
    path("<int:pk>/name/", store.add_alias, name="add-alias"),
    path("<int:pk>/end/", store.end_material, name="end-material"),
    path("<int:pk>/bring-back/", store.bring_back_material, name="bring-back-material"),
    path("<int:pk>/receive/", store.receive_lot, name="receive-lot"),
    re_path(rf"{LOT}$", lots.lot, name="lot"),
    re_path(rf"{LOT}change/$", lots.change_lot, name="change-lot"),
    re_path(rf"{LOT}release/$", lots.release_lot, name="release-lot"),
    re_path(rf"{LOT}quarantine/$", lots.quarantine_lot, name="quarantine-lot"),
    re_path(rf"{LOT}reject/$", lots.reject_lot, name="reject-lot"),
    re_path(rf"{LOT}used-up/$", lots.use_up_lot, name="use-up-lot"),
    re_path(rf"{LOT}correct/$", lots.correct_stock, name="correct-stock"),
    re_path(rf"{LOT}price/$", lots.correct_price, name="correct-price"),
]
