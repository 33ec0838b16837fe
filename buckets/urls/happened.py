"""What happened to a fill: its long run, and readings that were not as expected."""

from django.urls import URLPattern, path

from buckets.views import explaining, history

urlpatterns: list[URLPattern] = [
    path("<str:code>/history/", history.history, name="history-of-fill"),
    path("<str:code>/readings/<int:pk>/explain/", explaining.explain, name="explain-reading"),
    path("<str:code>/readings/<int:pk>/move/", explaining.move, name="move-reading"),
]
