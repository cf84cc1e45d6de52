"""The way through a procedure: every step reached, every step with a way out. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnostics.catalogue.book import Placed
from diagnostics.catalogue.problems import Path, Problem, instead
from diagnostics.catalogue.schema import END, VERDICTS, ProcedureEntry, StepEntry

Ways = dict[str, set[str]]


def leads_to(steps: Mapping[str, StepEntry], key: str, goto: str | None) -> str:
    """The step an answer leads to: its `goto`, else the next one written; END after the last."""
    if goto is not None:
        return goto
    order = list(steps)
    after = order.index(key) + 1
    return order[after] if after < len(order) else END


def ways_on(steps: Mapping[str, StepEntry], key: str) -> set[str]:
    """Every step that may follow this one; verdicts not written out lead to the next."""
    step = steps[key]
    gotos: list[str | None] = [outcome.goto for outcome in step.outcomes.values()]
    if step.by_verdict and set(step.outcomes) != set(VERDICTS):
        gotos.append(None)
    if not gotos:
        gotos.append(step.goto)
    return {leads_to(steps, key, goto) for goto in gotos}


def check_steps(placed: Placed[ProcedureEntry]) -> Iterator[Problem]:
    """Dangling `goto`, steps nobody reaches, and steps from which there is no way out."""
    steps = placed.entry.steps
    dangling = list(_dangling(placed))
    yield from dangling
    if dangling:
        return
    ways = {key: ways_on(steps, key) for key in steps}
    reached = _spread(ways, next(iter(steps)))
    leave = _spread(_turned(ways), END)
    for key in steps:
        at: Path = ("steps", key)
        if key not in reached:
            right = "let an outcome `goto` it, or delete it"
            yield placed.problem(at, f"no answer ever leads to the step {key}", right)
        elif key not in leave:
            right = "let one of its outcomes go on to a step that leads to the end"
            yield placed.problem(at, f"from the step {key} there is no way to the end", right)


def _dangling(placed: Placed[ProcedureEntry]) -> Iterator[Problem]:
    steps = placed.entry.steps
    known = [*steps, END]
    if END in steps:
        yield placed.problem(("steps", END), "a step cannot be called end", "give it another key")
    for key, step in steps.items():
        places: list[tuple[Path, str | None]] = [(("steps", key, "goto"), step.goto)]
        for name, outcome in step.outcomes.items():
            places.append((("steps", key, "outcomes", name, "goto"), outcome.goto))
        for at, goto in places:
            if goto is not None and goto not in known:
                yield placed.problem(at, f"there is no step {goto}", instead(goto, known, "step"))


def _spread(ways: Mapping[str, set[str]], start: str) -> set[str]:
    found, waiting = {start}, [start]
    while waiting:
        new = ways.get(waiting.pop(), set()) - found
        found |= new
        waiting.extend(new)
    return found


def _turned(ways: Mapping[str, set[str]]) -> Ways:
    turned: Ways = {}
    for key, followers in ways.items():
        for follower in followers:
            turned.setdefault(follower, set()).add(key)
    return turned
