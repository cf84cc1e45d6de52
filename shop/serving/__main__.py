"""`python -m shop.serving`: what `script/server` runs once the machine is set up."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from io import StringIO
from pathlib import Path
from typing import NoReturn

import django
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from shop.environment import EnvironmentProblem, read_env_file
from shop.serving import contents, database, network, state
from shop.serving.options import Options, read_options
from shop.serving.problems import StartProblem
from shop.serving.surroundings import tell_settings

ROOT = Path(__file__).resolve().parent.parent.parent


def main(arguments: Sequence[str]) -> NoReturn:
    os.umask(0o077)  # customers' data and secrets are for the server's own user
    read_env_file(ROOT / ".env")
    options = read_options(arguments)
    tell_settings(options)
    state.prepare(settings.STATE_DIR)
    lock = state.claim(settings.STATE_DIR, settings.BASE_URL)
    port = network.listen(options.host, options.port)
    django.setup()
    call_command("check", fail_level="ERROR", stdout=StringIO())
    database.open_database()
    say("Preparing the database and the pages …")
    database.bring_up_to_date()
    call_command("collectstatic", interactive=False, clear=True, verbosity=0)
    for line in contents.fill(demo=options.demo):
        say(line)
    database.let_go()
    for line in welcome(options):
        say(line)
    os.set_inheritable(lock, True)
    os.set_inheritable(port.fileno(), True)
    os.execv(sys.executable, [sys.executable, *gunicorn(options, port.fileno())])  # noqa: S606


def welcome(options: Options) -> list[str]:
    lines = ["", f"Stubaxle is at {settings.BASE_URL}"]
    if options.lan:
        lines += [
            "Tablets and phones on this network use the same address; the QR codes carry it.",
            f"On this machine it is also http://127.0.0.1:{options.port}",
        ]
    return [*lines, "Stop it with Ctrl+C.", ""]


def gunicorn(options: Options, port: int) -> list[str]:
    """Processes with threads: a slow paper holds up one thread, never the workshop."""
    arguments = ["-m", "gunicorn", "shop.wsgi:application", "--bind", f"fd://{port}"]
    arguments += ["--worker-class", "gthread", "--workers", str(options.workers)]
    arguments += ["--threads", str(options.threads), "--timeout", "90", "--graceful-timeout", "20"]
    arguments += ["--log-level", "error", "--no-control-socket", "--umask", "0o077"]
    if os.access("/dev/shm", os.W_OK):  # noqa: S108  (heartbeats in memory, not on a slow disk)
        arguments += ["--worker-tmp-dir", "/dev/shm"]  # noqa: S108
    return arguments


def say(line: str) -> None:
    print(line, flush=True)


if __name__ == "__main__":
    try:
        main(sys.argv[1:])
    except (StartProblem, EnvironmentProblem, CommandError) as problem:
        sys.exit(str(problem))
    except KeyboardInterrupt:
        sys.exit(130)
