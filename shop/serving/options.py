"""What a person may ask of `script/server`."""

from __future__ import annotations

from argparse import ArgumentParser
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NoReturn

from shop.environment import env_bool, env_int
from shop.serving.problems import StartProblem

LOOPBACK, EVERYWHERE = "127.0.0.1", "0.0.0.0"  # noqa: S104  (only when --lan asks for it)


@dataclass(frozen=True, slots=True)
class Options:
    port: int
    lan: bool
    demo: bool
    workers: int
    threads: int

    @property
    def host(self) -> str:
        return EVERYWHERE if self.lan else LOOPBACK


class _Parser(ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise StartProblem(f"{message}; script/server --help tells what it takes.")


def read_options(arguments: Sequence[str]) -> Options:
    """The options of the command line and the environment.

    Raises StartProblem or EnvironmentProblem with a sentence.
    """
    parser = _Parser(prog="script/server", add_help=False, allow_abbrev=False)
    parser.add_argument("--port", default="8000")
    parser.add_argument("--lan", action="store_true")
    given = parser.parse_args(arguments)
    return Options(
        port=_port(given.port),
        lan=given.lan,
        demo=env_bool("STUBAXLE_DEMO", default=True),
        workers=env_int("STUBAXLE_WORKERS", 2, least=1, most=64),
        threads=env_int("STUBAXLE_THREADS", 4, least=1, most=64),
    )


def _port(given: str) -> int:
    if given.isascii() and given.isdecimal() and 1 <= int(given) <= 65535:
        return int(given)
    raise StartProblem(f"--port is “{given}”; it takes a number from 1 to 65535.")
