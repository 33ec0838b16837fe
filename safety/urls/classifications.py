from django.urls import URLPattern, path

from safety.views import classifications

urlpatterns: list[URLPattern] = [
    path("hazards/", classifications.recipe_hazards, name="recipe-hazards"),
    path("hazards/<int:pk>/", classifications.version_hazards, name="version-hazards"),
    path("hazards/<int:pk>/how/", classifications.version_derivation, name="version-derivation"),
    path("hazards/<int:pk>/keep/", classifications.classify, name="classify-version"),
    path("classifications/", classifications.classifications, name="classifications"),
    path("classifications/<int:number>/", classifications.classification, name="classification"),
]
