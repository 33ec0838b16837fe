from django.db import models

from studio.quantities import QuantityField


class Body(models.Model):
    """A clay body as it is bisqued here: what its wall drinks, and how fast it dries."""

    name = models.CharField(max_length=60, unique=True)
    bisque_cone = models.CharField(max_length=4, blank=True)
    absorption_pct = QuantityField(
        places=2, null=True, blank=True, help_text="water taken up, of the dry mass"
    )
    bulk_density = QuantityField(places=3, null=True, blank=True, help_text="g/mL")
    drying_g_per_cm2_h = QuantityField(places=4, null=True, blank=True, help_text="water a damp wall loses")
    wall_mm = QuantityField(places=1, null=True, blank=True, help_text="usual wall")
    measured_on = models.DateField(null=True, blank=True)
    measured_how = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=200, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "bodies"

    def __str__(self) -> str:
        return self.name
