"""A stored signature, drawn."""

from __future__ import annotations

from django import template

from jobs import signature as signatures

register = template.Library()


@register.inclusion_tag("jobs/parts/signature.html")
def signature(strokes: str) -> dict[str, object]:
    """The strokes as an SVG; nothing for what cannot be read."""
    path = signatures.path_of(strokes)
    return {"path": path, "width": signatures.WIDTH, "height": signatures.HEIGHT}
