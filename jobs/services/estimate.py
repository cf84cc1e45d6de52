"""Putting an estimate together, and giving it: the door to the acts, each in its own module."""

from __future__ import annotations

from jobs.services.assemblies import accept_proposal, add_assembly, remove_assembly
from jobs.services.estimate_change import MAY_CHANGE
from jobs.services.giving import give
from jobs.services.labour import add_labour, remove_labour
from jobs.services.other_lines import add_other, remove_other
from jobs.services.payer_share import share

__all__ = [
    "MAY_CHANGE",
    "accept_proposal",
    "add_assembly",
    "add_labour",
    "add_other",
    "give",
    "remove_assembly",
    "remove_labour",
    "remove_other",
    "share",
]
