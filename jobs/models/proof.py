"""The road test that shows a repair holds."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from jobs.models.order import RepairOrder


class RoadTest(models.Model):
    order = models.ForeignKey(RepairOrder, on_delete=models.CASCADE, related_name="road_tests")
    at = models.DateTimeField()
    by = models.ForeignKey("shop.User", on_delete=models.PROTECT, related_name="+")
    odometer = models.ForeignKey(
        "shop.OdometerReading", on_delete=models.PROTECT, null=True, related_name="+"
    )
    distance_m = models.FloatField()
    distance_typed = models.CharField(max_length=24)
    top_speed_mps = models.FloatField()
    top_speed_typed = models.CharField(max_length=24)
    long_enough = models.BooleanField()
    reason = models.TextField()
    note = models.TextField(blank=True)

    class Meta:
        ordering: ClassVar = ["order", "pk"]

    def __str__(self) -> str:
        return f"{self.distance_typed}, {self.top_speed_typed}"
