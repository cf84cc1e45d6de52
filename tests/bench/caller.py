"""Calls a WSGI application as a server does, in this process, and takes the time."""

from __future__ import annotations

import gc
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from time import perf_counter
from typing import Any
from urllib.parse import urlencode

from django.conf import settings
from django.db import connections
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext

from shop.actor import Actor

SECRET = "b" * 32
Environ = dict[str, Any]
Application = Callable[[Environ, Callable[..., Any]], Any]


@dataclass(frozen=True, slots=True)
class Answer:
    status: int
    text: str
    seconds: float


class Tablet:
    """A browser in which this person has signed in, sending what htmx sends."""

    def __init__(self, actor: Actor) -> None:
        client = Client()
        client.force_login(actor.user)
        self._cookies = "; ".join(
            [
                f"{settings.SESSION_COOKIE_NAME}={client.cookies[settings.SESSION_COOKIE_NAME].value}",
                f"{settings.CSRF_COOKIE_NAME}={SECRET}",
            ]
        )
        self._make = RequestFactory(
            HTTP_COOKIE=self._cookies,
            HTTP_HOST="localhost",
            HTTP_ACCEPT_LANGUAGE="en-GB",
            HTTP_X_CSRFTOKEN=SECRET,
        )

    def post(self, path: str, fields: Mapping[str, object]) -> Environ:
        body = urlencode(fields)
        kind = "application/x-www-form-urlencoded"
        return dict(self._make.post(path, body, kind, HTTP_HX_REQUEST="true").environ)

    def get(self, path: str) -> Environ:
        return dict(self._make.get(path).environ)


def call(application: Application, environ: Environ) -> Answer:
    """One request from the first byte to the last, with what Django does after it."""
    seen: list[str] = []

    def start(status: str, headers: list[tuple[str, str]], *more: Any) -> Callable[[bytes], object]:
        seen.append(status)
        return lambda part: None

    begun = perf_counter()
    response = application(environ, start)
    body = b"".join(response)
    response.close()
    seconds = perf_counter() - begun
    return Answer(int(seen[0].split()[0]), body.decode(errors="replace"), seconds)


@dataclass(frozen=True, slots=True)
class Case:
    """One of several things measured side by side: `prepare` makes a request, untimed."""

    name: str
    application: Application
    prepare: Callable[[], Environ]
    must_say: str


def side_by_side(cases: Sequence[Case], *, times: int, warm: int = 20) -> dict[str, float]:
    """The median seconds of each case; they take turns, so that a busy moment meets all."""
    taken: dict[str, list[float]] = {case.name: [] for case in cases}
    gc.collect()
    for turn in range(warm + times):
        for case in cases:
            answer = call(case.application, case.prepare())
            if answer.status != 200 or case.must_say not in answer.text:
                raise AssertionError(f"{case.name}: {answer.status}\n{answer.text}")
            if turn >= warm:
                taken[case.name].append(answer.seconds)
    return {name: median(values) for name, values in taken.items()}


def statements(case: Case, alias: str = "default") -> int:
    """How many SQL statements one request makes, BEGIN and COMMIT among them."""
    with CaptureQueriesContext(connections[alias]) as queries:
        call(case.application, case.prepare())
        return len(queries)
