"""On what it was measured."""

from __future__ import annotations

import os
import platform
from pathlib import Path

import django


def lines() -> list[str]:
    return [
        f"Machine: {len(os.sched_getaffinity(0))} cores, {_processor()}",
        f"Python {platform.python_version()}, Django {django.get_version()}, {platform.system()}",
        f"Load: {os.getloadavg()[0]:.1f} (above the number of cores: something else ran too)",
    ]


def _processor() -> str:
    info = Path("/proc/cpuinfo")
    if info.exists():
        for line in info.read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()
