#!/usr/bin/env python3
"""Django's command line for Stubaxle."""

import os
import sys
from pathlib import Path

from django.core.management import execute_from_command_line

from shop.environment import EnvironmentProblem, read_env_file

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    try:
        read_env_file(Path(__file__).resolve().parent / ".env")
        execute_from_command_line(sys.argv)
    except EnvironmentProblem as problem:
        sys.exit(str(problem))
