"""What the work leaves behind, and how it was proved. Pure; common practice, no source."""

from __future__ import annotations

from collections.abc import Collection

from jobs.evidence.carrying import cap
from jobs.evidence.facts import Facts, Moment, UnitFact, Wants
from jobs.evidence.need import Checked, Need, Where, given

_R, _P = Moment.REPAIR, Moment.PROVING


def authority(facts: Facts, wants: Wants) -> Checked:
    said = "Nobody has authorised this work yet. A payer asks who agreed, when and to how much."
    return _line("authority", "Authority", facts.authorised, said, Where.ESTIMATE, Moment.DIAGNOSIS)


def labour(facts: Facts, wants: Wants) -> Checked:
    said = "No operation stands in the labour lines. A payer pays by operation, not by the day."
    return _line(
        "operation",
        "Operation in the labour lines",
        facts.operations > 0,
        said,
        Where.ESTIMATE,
        Moment.DIAGNOSIS,
    )


def clocked(facts: Facts, wants: Wants) -> Checked | None:
    if not wants.clock:
        return None
    said = "No time is clocked on this complaint, and this payer wants the time really worked."
    return _line("clock", "Clocked time", facts.clocked, said, Where.CLOCK, Moment.DIAGNOSIS)


def serials(facts: Facts, wants: Wants) -> Checked | None:
    if not wants.serials or (facts.moment >= _P and not facts.fitted):
        return None
    key, name = "serials", "Numbers of the units off and on"
    lacking = [
        f"{word} ({one.name})"
        for one in facts.fitted
        for word, there in (("the unit off", one.serial_off), ("the unit on", one.serial_on))
        if not there
    ]
    if facts.fitted and not lacking:
        return given(key, name)
    said = (
        f"The number of {' and of '.join(lacking)} is not written down. It ties the part that "
        "failed to the one that was paid for."
        if lacking
        else "Write down the numbers of both units while fitting: they tie the part that failed "
        "to the one that is paid for."
    )
    return Checked(key, name, Need(key, said, Where.FITTING, _R))


def part_held(facts: Facts, wants: Wants) -> Checked | None:
    if not wants.part or (facts.moment >= _P and not facts.fitted):
        return None
    key, name = "part", "Part kept, with its tag"
    if not facts.fitted:
        said = "Keep what comes off, with a tag: this payer may ask for it."
        return Checked(key, name, Need(key, said, Where.FITTING, _R))
    for one in facts.fitted:
        if said := _not_kept(one, wants):
            return Checked(key, name, Need(key, said, Where.FITTING, _R))
    return given(key, name)


def _not_kept(one: UnitFact, wants: Wants) -> str:
    if not one.tag:
        return f"What came off ({one.name}) has no tag. A payer that asks for it refuses without."
    if not one.kept:
        return f"{one.tag} ({one.name}) is not here any more. Say to the payer where it went."
    if wants.hold_until and (one.held_until is None or one.held_until < wants.hold_until):
        return (
            f"{one.tag} ({one.name}) may go before this payer’s last day, "
            f"{wants.hold_until:%d.%m.%Y}. Hold it until then."
        )
    return ""


def photos_of_fault(facts: Facts, wants: Wants) -> Checked | None:
    said = "This payer wants a photo of the fault, or of the instrument with its reading."
    return _photo(facts, wants, "photo-fault", {"fault", "reading"}, "Photo of the fault", said)


def photos_of_plate(facts: Facts, wants: Wants) -> Checked | None:
    said = "This payer wants a photo of the unit’s plate or label, with its number to be read."
    return _photo(facts, wants, "photo-plate", {"plate"}, "Photo of the unit’s plate", said)


def photos_of_odometer(facts: Facts, wants: Wants) -> Checked | None:
    said = "This payer wants a photo of the odometer."
    return _photo(facts, wants, "photo-odometer", {"odometer"}, "Photo of the odometer", said)


def correction(facts: Facts, wants: Wants) -> Checked:
    said = "Write what was done: replaced, repaired, set, and how it was proved."
    done = bool(facts.correction.strip())
    return _line("correction", "Correction", done, said, Where.CORRECTION, _R)


def correction_names_it(facts: Facts, wants: Wants) -> Checked | None:
    """Every fitted assembly stands in the correction, by its name or its part number."""
    if not facts.correction.strip() or not facts.fitted:
        return None
    key, name = "correction-names", "Correction names what was fitted"
    text = facts.correction.casefold()
    left_out = [one for one in facts.fitted if not _named(one, text)]
    if not left_out:
        return given(key, name)
    said = (
        f"The correction does not name {left_out[0].name}, which was fitted. A payer holds it "
        "against the parts that are claimed."
    )
    return Checked(key, name, Need(key, said, Where.CORRECTION, _R))


def _named(one: UnitFact, text: str) -> bool:
    if one.part_number and one.part_number.casefold() in text:
        return True
    words = [word for word in one.name.casefold().replace("-", " ").split() if len(word) > 3]
    found = sum(1 for word in words if word in text)
    return bool(words) and found * 2 >= len(words)


def readings_after(facts: Facts, wants: Wants) -> Checked | None:
    """What condemned the part is measured again, and every later reading is inside."""
    condemning = {
        (one.name, one.position)
        for one in facts.readings
        if one.tied and not one.after and one.verdict == "outside"
    }
    if not condemning and facts.moment >= _P:
        return None
    key, name = "readings-after", "The same readings after the repair, inside"
    later = [one for one in facts.readings if one.after]
    bad = [one for one in later if one.verdict == "outside"]
    missing = condemning - {(one.name, one.position) for one in later}
    if bad:
        said = (
            f"{cap(bad[0].name)} is still outside after the repair. A payer takes it for not "
            "repaired."
        )
    elif missing or not condemning:
        what = min(missing)[0] if missing else "what condemned the part"
        said = f"Measure {what} again after the repair: it shows that the cause was the right one."
    else:
        return given(key, name)
    return Checked(key, name, Need(key, said, Where.READINGS, _P))


def flags_after(facts: Facts, wants: Wants) -> Checked:
    key, name = "flags-after", "Flags read after the repair, none present"
    still = [one.code for one in facts.flags if one.after and one.present]
    if still:
        said = f"{', '.join(still)} is still there after the repair. A payer asks why."
    elif not facts.read_after:
        said = "Clear the flags, drive, and read the modules again: none may be present."
    else:
        return given(key, name)
    return Checked(key, name, Need(key, said, Where.FLAGS, _P))


def road_test(facts: Facts, wants: Wants) -> Checked:
    said = (
        "The road test was too short for the modules to test themselves. Drive again."
        if facts.road_tests
        else "No road test is recorded. It shows that the repair holds."
    )
    return _line(
        "road-test", "Road test, long enough", facts.road_test_long_enough, said, Where.PROVING, _P
    )


def odometer_out(facts: Facts, wants: Wants) -> Checked:
    said = "Write down the odometer after the road test: a claim states it in and out."
    return _line("odometer", "Odometer in and out", facts.odometer_out, said, Where.PROVING, _P)


def _photo(
    facts: Facts, wants: Wants, key: str, shows: Collection[str], name: str, said: str
) -> Checked | None:
    if not wants.photos:
        return None
    return _line(key, name, any(one in shows for one in facts.photos), said, Where.PHOTOS)


def _line(
    key: str, name: str, done: bool, said: str, where: Where, since: Moment = Moment.TAKEN_IN
) -> Checked:
    return given(key, name) if done else Checked(key, name, Need(key, said, where, since))
