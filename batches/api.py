"""The API of this app: the same acts and questions as its pages."""

from batches import making_api, request_api

urlpatterns = [*request_api.urlpatterns, *making_api.urlpatterns]
