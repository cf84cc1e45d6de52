"""Why a module refused to return its flags, and what an answer to another question is. Pure.

The numbers are those of ISO 14229-1, annex A, as a public library names them; what each means
for the work is said in our own words, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

PENDING = 0x78
_READ_FLAGS = 0x19

REFUSALS: Mapping[int, str] = MappingProxyType(
    {
        0x10: "the module refused and gives no reason. Try again with the ignition switched anew",
        0x11: "this module does not know the service at all. Read its flags with another "
        "function of the tester",
        0x12: "this module does not know reading by status. Read its flags with another "
        "function of the tester",
        0x13: "what the tester asked has the wrong length. It is 19 02 and a mask",
        0x14: "the answer is too long for the module to send. Ask with a narrower status mask",
        0x21: "the module is busy. Ask once more",
        0x22: "the conditions are not right. Often: ignition on, engine off, vehicle standing, "
        "battery voltage in range",
        0x24: "the module expects something else first, as a rule another diagnostic session",
        0x25: "a module behind the gateway did not answer. Check its supply and its wiring",
        0x26: "a fault keeps the module from doing it. Look at its other flags and its supply",
        0x31: "what was asked is outside what the module allows. Try another status mask",
        0x33: "the module is locked: access must be unlocked first, as the vehicle maker lays down",
        0x34: "the tester must prove who it is first, as the vehicle maker lays down",
        0x35: "the key that the tester gave was wrong. Further wrong keys lock the module",
        0x36: "too many wrong keys were given. The module stays locked for a while",
        0x37: "the module stays locked for a while after a wrong key. Wait, then ask again",
        PENDING: "the module asked for more time. Its answer follows: paste that too",
        0x7E: "the module does not do that in the present diagnostic session. Open another one",
        0x7F: "the module does not do this service in the present diagnostic session. "
        "Open another one",
        0x83: "the engine is running. Switch it off and ask again",
        0x84: "the engine is not running, and must be",
        0x88: "the vehicle is moving. Ask again at rest",
        0x92: "the supply voltage is too high. Measure it",
        0x93: "the supply voltage is too low. Charge the battery and ask again",
    }
)

_OTHER_READS: Mapping[int, str] = MappingProxyType(
    {
        0x01: "only says how many flags there are",
        0x03: "lists what was kept with the flags (freeze frames), not the flags",
        0x04: "holds what was kept with one flag (a freeze frame)",
        0x06: "holds the counters of one flag",
        0x0A: "lists every flag that the module could ever set, whether it is set or not",
        0x0B: "holds the first flag that failed only",
        0x0C: "holds the first confirmed flag only",
        0x0D: "holds the latest flag that failed only",
        0x0E: "holds the latest confirmed flag only",
        0x14: "lists fault counters that have not become flags yet",
        0x15: "lists flags of a permanent memory",
    }
)


def refusal_in_words(message: bytes) -> str:
    """What a refusal `7F service reason` says. Never raises: a broken one is said to be broken."""
    shown = message.hex(" ").upper()
    if len(message) < 3:
        return f"{shown} is a refusal that breaks off: its third byte says why. Paste it whole."
    service, reason = message[1], message[2]
    if service != _READ_FLAGS:
        return (
            f"{shown} refuses another service ({service:02X}), not the reading of flags (19). "
            "Paste what begins with 59."
        )
    why = REFUSALS.get(reason)
    if why is None:
        return (
            f"{shown}: the module refused, reason {reason:02X}. It is not in this list: "
            "look it up in the vehicle maker's information."
        )
    return f"{shown}: {why}."


def other_answer(message: bytes) -> str:
    """What an answer is that is no read-by-status answer. Never raises; `message` is not empty."""
    shown = _beginning(message)
    first = message[0]
    if first == 0x59 and len(message) == 1:
        return "59 alone breaks off. Paste the whole answer."
    if first == 0x59:
        said = _OTHER_READS.get(message[1], "answers another question about flags")
        return (
            f"{shown} {said} (sub-function {message[1]:02X}). Read by status mask instead: "
            "its answer begins with 59 02."
        )
    older = {
        0x43: "is the emissions answer with stored codes (service 03)",
        0x47: "is the emissions answer with pending codes (service 07)",
        0x4A: "is the emissions answer with permanent codes (service 0A)",
        0x57: "is an answer of an older protocol (service 17)",
        0x58: "is an answer of an older protocol (service 18)",
    }.get(first)
    if older:
        return (
            f"{shown} {older}, which is laid out otherwise. Type its codes below as the tester "
            "shows them."
        )
    return (
        f"{shown} is no answer to reading flags by status: that begins with 59 02, "
        "and a refusal with 7F 19."
    )


def _beginning(message: bytes) -> str:
    shown = message[:4].hex(" ").upper()
    return f"{shown} …" if len(message) > 4 else shown
