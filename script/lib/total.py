"""Add up the JUnit reports of several test runs in one closing line. Fails when none passed."""

import sys
import xml.etree.ElementTree as ET
from collections import Counter
from pathlib import Path


def counts(report: Path) -> Counter[str]:
    """How many tests passed, failed or were skipped in one report."""
    of_one: Counter[str] = Counter()
    for suite in ET.parse(report).getroot().iter("testsuite"):  # noqa: S314  (our own file)
        tests, skipped = int(suite.get("tests", 0)), int(suite.get("skipped", 0))
        failed = int(suite.get("failures", 0)) + int(suite.get("errors", 0))
        of_one.update(passed=tests - failed - skipped, failed=failed, skipped=skipped)
    return of_one


def main(reports: list[str]) -> int:
    total: Counter[str] = Counter()
    for report in reports:
        total.update(counts(Path(report)))
    print(f"{total['passed']} passed, {total['failed']} failed, {total['skipped']} skipped")
    return 0 if total["passed"] else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
