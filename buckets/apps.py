from django.apps import AppConfig


class BucketsConfig(AppConfig):
    name = "buckets"
