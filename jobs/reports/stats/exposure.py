"""Time at risk: what a rate is divided by."""

from __future__ import annotations

from jobs.reports.stats.counts import Counts


def exposure(counts: Counts) -> float:
    """The time that all lives together were watched, in the unit of their clock."""
    return float((counts.t * (counts.left - counts.entered)).sum())
