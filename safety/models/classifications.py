from django.db import models

from studio.records import AppendOnly


class Classification(AppendOnly):
    """What a mixture is, by one country's rules, worked out once and kept as it was worked out.

    ``mix``: parts of the dry mass, ``[{"version": 12, "share": "0.676"}, {"material": 7, "share": "0.004"},
    {"unknown": "found, history unknown", "share": "0.32"}]``; shares add to 1. ``inputs``: every substance
    with its share and the source of its classes. ``result``: classes, label elements and the reasoning
    of each. The newest of a mix under a law is the one that stands; a new sheet or version makes a new one.
    """

    number = models.PositiveIntegerField(unique=True)
    what = models.CharField(max_length=120, help_text="Rockpool, version 3")
    mix = models.JSONField()
    mix_digest = models.CharField(max_length=64)
    law = models.CharField(max_length=5)
    rule_set = models.CharField(max_length=60)
    inputs = models.JSONField()
    inputs_digest = models.CharField(max_length=64)
    result = models.JSONField()
    assumed = models.BooleanField(default=False, help_text="something in it was assumed, not known")
    missing = models.BooleanField(default=False, help_text="a part is not classified at all")
    why = models.CharField(max_length=200, blank=True, help_text="what made it: a sheet, a version, a print")

    class Meta:
        ordering = ["-number"]
        indexes = [models.Index(fields=["mix_digest", "law", "-number"], name="classification_of_mix")]

    def __str__(self) -> str:
        return f"K{self.number:04d}"
