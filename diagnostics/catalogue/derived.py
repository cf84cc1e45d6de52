"""The quantities that the program works out, which pages may name without defining them. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from diagnostics.measurements.kind import DerivedQuantity
from diagnostics.measurements.registry import ALL

DERIVED: Mapping[str, DerivedQuantity] = MappingProxyType(
    {quantity.key: quantity for kind in ALL for quantity in kind.quantities}
)
