"""Several forms of acts stand on one page; each field keeps an id of its own."""

from __future__ import annotations

from typing import Any


class OwnIds:
    """Mixed into a form before its base: ids begin with the form's own name."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", f"{type(self).__name__}-%s")
        super().__init__(*args, **kwargs)
