from django.urls import path

from studio.materials.views import lots, store

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
    path("lots/<str:code>/", lots.lot, name="lot"),
    path("lots/<str:code>/change/", lots.change_lot, name="change-lot"),
    path("lots/<str:code>/release/", lots.release_lot, name="release-lot"),
    path("lots/<str:code>/quarantine/", lots.quarantine_lot, name="quarantine-lot"),
    path("lots/<str:code>/reject/", lots.reject_lot, name="reject-lot"),
    path("lots/<str:code>/used-up/", lots.use_up_lot, name="use-up-lot"),
    path("lots/<str:code>/correct/", lots.correct_stock, name="correct-stock"),
    path("lots/<str:code>/price/", lots.correct_price, name="correct-price"),
]
