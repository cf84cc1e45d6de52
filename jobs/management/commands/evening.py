"""At the end of the day: clocks that somebody forgot are ended where the shift did."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from jobs.services.clock_end import evening


class Command(BaseCommand):
    help = (
        "End every clock that ran past its shift and the grace, at the end of the shift. Run it "
        "every quarter of an hour, or at least each night; it may run as often as you like."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        caught = evening()
        if caught == 1:
            self.stdout.write("1 clock was ended; the service manager looks at it under Hours.")
        elif caught:
            self.stdout.write(f"{caught} clocks were ended; see Hours.")
        else:
            self.stdout.write("No clock was forgotten.")
