from django.urls import URLPattern, path

from studio.recipes.views import library, recipe, versions

urlpatterns: list[URLPattern] = [
    path("", library.library, name="recipes"),
    path("add/", recipe.add, name="add-recipe"),
    path("<int:pk>/", recipe.recipe, name="recipe"),
    path("<int:pk>/change/", recipe.change, name="change-recipe"),
    path("<int:pk>/retire/", recipe.retire, name="retire-recipe"),
    path("<int:pk>/bring-back/", recipe.bring_back, name="bring-back-recipe"),
    path("<int:pk>/versions/add/", versions.add, name="add-version"),
    path("<int:pk>/versions/<int:number>/approve/", versions.approve, name="approve-version"),
    path("<int:pk>/versions/<int:number>/withdraw/", versions.withdraw, name="withdraw-version"),
    path("<int:pk>/versions/<int:number>/normalise/", versions.normalise, name="normalise-version"),
]
