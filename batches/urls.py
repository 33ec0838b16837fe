"""Addresses of a batch, all below /making/<number>/."""

from django.urls import path, register_converter

from batches.views import batch, bench, gates, wet


class BatchNumber:
    """26-014: two digits of the year, a dash, at least three digits."""

    regex = r"\d\d-\d{3,6}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(BatchNumber, "batch")

urlpatterns = [
    path("<batch:number>/", batch.batch, name="batch"),
    path("<batch:number>/bench/", bench.bench, name="bench"),
    path("<batch:number>/lines/<int:position>/", bench.weigh, name="weigh-line"),
    path("<batch:number>/lines/<int:position>/acknowledge/", gates.acknowledge, name="acknowledge"),
    path("<batch:number>/weighings/<int:pk>/take-back/", batch.take_back, name="take-back-weighing"),
    path("<batch:number>/water/", wet.add_water, name="add-water"),
    path("<batch:number>/sieve/", wet.sieve, name="sieve-batch"),
    path("<batch:number>/weigh-bucket/", wet.weigh_bucket, name="weigh-bucket"),
    path("<batch:number>/reading/", wet.read, name="record-batch-reading"),
    path("<batch:number>/steps/<int:pk>/take-back/", wet.take_back, name="take-back-step"),
    path("<batch:number>/pause/", batch.pause, name="pause-batch"),
    path("<batch:number>/resume/", batch.resume, name="resume-batch"),
    path("<batch:number>/hold/", batch.hold, name="hold-batch"),
    path("<batch:number>/lift/", batch.lift, name="lift-batch"),
    path("<batch:number>/reject/", batch.reject, name="reject-batch"),
]
