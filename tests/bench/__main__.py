"""`python -m tests.bench FILE`: measure on the database of DATABASE_URL, leave the figures there.

`python -m tests.bench table FILE ...`: set what such files hold side by side.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import django

django.setup()

from tests.bench import databases, measures, table, worked, world  # noqa: E402  (models need the set-up)


def measure(file: Path) -> None:
    databases.make()
    made = world.build(open_jobs=table.OPEN)
    figures = measures.Figures()
    measures.papers(made, figures)
    measures.posting(made, figures)
    worked.worked(made, figures)
    world.multiply(made, 1, table.FEW - 1)
    databases.copy_to_few()
    world.multiply(made, table.FEW, table.MANY - 1)
    databases.settle("default", "few")
    measures.desk(made, figures)
    measures.counter(made, figures)
    measures.ledger(made, figures)
    kept = {"database": databases.version()} | figures.as_dict()
    databases.let_go()
    file.write_text(json.dumps(kept), encoding="utf-8")


def main(words: list[str]) -> None:
    if words[0] == "table":
        read = [json.loads(Path(name).read_text(encoding="utf-8")) for name in words[1:]]
        sys.stdout.write("\n".join(table.lines(read)) + "\n")
    else:
        measure(Path(words[0]))


if __name__ == "__main__":
    main(sys.argv[1:])
