"""The words, the cause, and what carries it. Pure; common practice, no source."""

from __future__ import annotations

from jobs.evidence.facts import Facts, Moment, ReadingFact, Wants
from jobs.evidence.need import Checked, Need, Where, given

FEWEST_WORDS = 3
_D = Moment.DIAGNOSIS


def complaint_in_words(facts: Facts, wants: Wants) -> Checked:
    key, name = "words", "The complaint in the customer’s words"
    if len(facts.words.split()) >= FEWEST_WORDS:
        return given(key, name)
    said = (
        f"The complaint is only “{facts.words.strip()}”: write what the customer noticed, when and "
        "how often. A payer asks whether the cause explains it."
    )
    return Checked(key, name, Need(key, said, Where.ORDER, advised=True))


def flags_before(facts: Facts, wants: Wants) -> Checked:
    key, name = "flags-before", "Flags read before the repair"
    if facts.read_before:
        return given(key, name)
    said = (
        "No module was read out before the repair. A payer wants the flags as found, and a module "
        "with none stored counts too."
    )
    return Checked(key, name, Need(key, said, Where.FLAGS, _D))


def cause(facts: Facts, wants: Wants) -> Checked:
    key, name = "cause", "Cause: component and how it failed"
    if facts.concluded and facts.no_fault_found:
        said = (
            "The conclusion is that no fault was found. A payer seldom pays for that; say who "
            "bears it."
        )
    elif not facts.concluded:
        said = "Nothing is concluded yet. A payer wants the component at fault and how it failed."
    elif not facts.failure_mode:
        said = (
            f"The cause names {facts.component_name} and not how it failed. A payer asks for both."
        )
    else:
        return given(key, name)
    return Checked(key, name, Need(key, said, Where.CONCLUDE, _D))


def same_system(facts: Facts, wants: Wants) -> Checked | None:
    """Only where both systems are known: a cause in another one must be explained."""
    key, name = "system", "Cause in the system of the complaint"
    if not facts.component or not facts.system:
        return None
    if facts.system == facts.component_system:
        return given(key, name)
    said = (
        f"{cap(facts.component_name)} belongs to another system than the complaint. Say in the "
        "cause how the one brings about the other; a claim is refused where the cause does not "
        "explain the concern."
    )
    return Checked(key, name, Need(key, said, Where.CONCLUDE, _D))


def condemned(facts: Facts, wants: Wants) -> Checked | None:
    """A reading outside its limit, of the part that is concluded, tied to the conclusion.

    Where the catalogue knows no limit for the component, a held flag or a look carries it.
    """
    key, name = "condemned", "Reading outside its limit, tied to the cause"
    if facts.no_fault_found:
        return None
    outside = [one for one in facts.readings if not one.after and one.verdict == "outside"]
    tied = [one for one in outside if one.tied]
    here = [one for one in tied if _belongs(one, facts)]
    if here:
        return _with_its_limit(key, name, here)
    if tied:
        said = (
            f"{cap(tied[0].name)} is outside its limit, and it is a reading of another part or "
            f"another place than {_fault(facts)}. Tie one that was taken there."
        )
        return Checked(key, name, Need(key, said, Where.CONCLUDE, _D))
    if not facts.limit_known and (held := _carried_otherwise(facts)):
        return given(key, f"{held}; the catalogue knows no limit for {facts.component_name}")
    if facts.concluded and outside:
        said = (
            f"{cap(outside[0].name)} is outside its limit and does not stand under the cause. "
            "Conclude anew and tick it: a payer looks for the reading that condemns the part."
        )
        return Checked(key, name, Need(key, said, Where.CONCLUDE, _D))
    if outside:
        said = (
            f"{cap(outside[0].name)} is outside its limit. Tick it under the cause when you "
            "conclude: a payer looks for the reading that condemns the part."
        )
        return Checked(key, name, Need(key, said, Where.CONCLUDE, _D))
    return Checked(key, name, Need(key, _no_reading(facts), Where.READINGS, _D))


def flag_points_there(facts: Facts, wants: Wants) -> Checked | None:
    """A flag that is tied, or else any that was held, must point at the concluded component."""
    key, name = "pointer", "A flag that points at the component"
    held = [one for one in facts.flags if not one.after and one.present]
    if not held or not facts.component:
        return None
    told = [one for one in held if one.tied] or held
    known = [one for one in told if one.points_at]
    for one in known:
        for component, position in one.points_at:
            if component == facts.component and _same_place(position, facts.position):
                return given(key, f"{one.code} points at {facts.component_name}")
    if not known:
        said = (
            f"The catalogue does not say what {told[0].code} points at. Say in the cause how it "
            f"belongs to {_fault(facts)}."
        )
    else:
        said = (
            f"{known[0].code} does not point at {_fault(facts)}. Say in the cause why it is at "
            "fault all the same; a payer will ask."
        )
    return Checked(key, name, Need(key, said, Where.CONCLUDE, _D, advised=True))


def _with_its_limit(key: str, name: str, here: list[ReadingFact]) -> Checked:
    best = max(here, key=lambda one: (one.limit, one.source, one.conditions))
    lacks = [
        word
        for word, there in (
            ("its limit", best.limit),
            ("the source of its limit", best.source),
            ("the conditions it was taken in", best.conditions),
        )
        if not there
    ]
    if not lacks:
        return given(key, name)
    said = (
        f"{cap(best.name)} condemns the part, without {' and '.join(lacks)}. Take it again with "
        "them: a payer holds value and limit against each other."
    )
    return Checked(key, name, Need(key, said, Where.READINGS, _D))


def _no_reading(facts: Facts) -> str:
    if not facts.limit_known:
        return (
            f"The catalogue knows no limit for {facts.component_name}, so nothing measured can "
            "condemn it. Tie a stored flag or a look to the cause instead."
        )
    return (
        "No reading outside its limit carries the cause. It is what claims are most often refused "
        "for: measure before anything is taken off."
    )


def _carried_otherwise(facts: Facts) -> str:
    codes = [one.code for one in facts.flags if one.tied and one.present and not one.after]
    if codes:
        return f"Flag {', '.join(codes)} carries the cause"
    return "A look carries the cause" if facts.looks else ""


def _belongs(one: ReadingFact, facts: Facts) -> bool:
    part = one.component in ("", facts.component)
    place = _same_place(one.position, facts.position)
    # A reading that names neither part nor place says nothing of this one.
    return part and place and bool(one.component or one.position)


def _same_place(one: str, other: str) -> bool:
    return not one or not other or one == other


def _fault(facts: Facts) -> str:
    return facts.component_name or "the component at fault"


def cap(text: str) -> str:
    """Only its first letter."""
    return text[:1].upper() + text[1:]
