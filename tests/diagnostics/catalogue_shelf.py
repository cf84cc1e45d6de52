"""Catalogue files in memory, and a small sound platform for tests to spoil."""

from __future__ import annotations

from collections.abc import Iterable

from diagnostics.catalogue.reader import Pages, read_catalogue

SOUND = """\
format: 1
platform:
  code: TT1
  make: Testmake
  model: Trolley
  title: Trolley pages
  demo: yes
systems:
  brake_control:
    name: Brake control
quantities:
  sensor_resistance: {name: Sensor resistance, kind: resistance, unit: kohm}
components:
  hub:
    name: Hub assembly
    system: brake_control
    positions: LR RR
    failure_modes:
      open: Open
parts:
  TT1-1: {component: hub, positions: LR RR, price: 10.00, superseded_by: TT1-2}
  TT1-2: {component: hub, positions: LR RR, price: 12.50}
flags:
  C0045:
    text: Left rear wheel speed
    system: brake_control
    position: LR
    points_at:
      - {component: hub, position: LR}
limits:
  - quantity: sensor_resistance
    component: hub
    positions: LR RR
    allowed: 1.28 to 1.50 kohm
    temperature: 20 C
    copper_correction: yes
    source: sheet 4
telltales:
  amber:
    when:
      - {lamp: amber_antilock, situation: engine_running, shown: steady}
    says: Anti-lock is off.
    may_drive: yes
procedures:
  wheel:
    title: Wheel-speed circuit
    purpose: Find the fault.
    system: brake_control
    for_flags: [C0045]
    steps:
      lift:
        kind: caution
        title: Lift
        text: Raise it.
        purpose: Reach.
        caution: Use stands.
      resistance:
        kind: measurement
        title: Resistance
        text: Measure.
        purpose: Open or not.
        quantity: sensor_resistance
        outcomes:
          within: {goto: end}
      look:
        kind: look
        title: Connector
        text: Look.
        purpose: Wet or not.
        outcomes:
          dry: {label: Dry, judged: good}
          wet: {label: Wet, judged: bad, says: Dry it.}
labour:
  BC-1: {text: Replace the hub, system: brake_control, component: hub, hours: 1.2}
proving:
  self_test_speed: 5 km/h
  min_distance: 5 km
  source: sheet 1
"""


class Memory:
    """A reader's shelf that holds its files in a dictionary."""

    def __init__(self, **files: str | bytes) -> None:
        self.files = {
            name.replace("__", "/") + ".yaml": text if isinstance(text, bytes) else text.encode()
            for name, text in files.items()
        }

    def read(self, name: str) -> bytes:
        if name not in self.files:
            raise FileNotFoundError(2, "No such file or directory")
        return self.files[name]

    def names(self) -> Iterable[str]:
        return self.files


def read(**files: str | bytes) -> Pages:
    shelf = Memory(**files)
    return read_catalogue([name for name in shelf.files if "/" not in name], shelf)


def spoil(old: str, new: str) -> str:
    """The sound platform with one thing changed; the thing must be there once."""
    assert SOUND.count(old) == 1, f"{old!r} stands {SOUND.count(old)} times in the sound file"
    return SOUND.replace(old, new)


def line_of(text: str, snippet: str) -> int:
    """The line, from 1, on which a snippet stands; it must be there once."""
    assert text.count(snippet) == 1, f"{snippet!r} stands {text.count(snippet)} times"
    return text[: text.index(snippet)].count("\n") + 1
