"""The product's own settings, as script/server uses them, with a second database beside the first.

`default` holds 100,000 closed jobs in the end, `few` a thousand; everything else is the same.
"""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

from shop.settings import *  # noqa: F403
from shop.settings import DATABASES, STATE_DIR, TEMPLATES

_few: dict[str, Any] = deepcopy(DATABASES["default"])
_few["NAME"] = STATE_DIR / "few.sqlite3" if "sqlite3" in _few["ENGINE"] else f"{_few['NAME']}_few"
DATABASES["few"] = _few
DATABASE_ROUTERS = ["tests.bench.databases.Chosen"]
ROOT_URLCONF = "tests.bench.bare"
_dirs: Any = TEMPLATES[0]["DIRS"]
_dirs.append(Path(__file__).parent / "templates")
