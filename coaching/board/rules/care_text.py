"""What the board says where something hurts: pain is thanked for, and a limit is a limit."""

from collections.abc import Iterable
from datetime import date

from coaching.board.rules.care import Care, Why
from coaching.board.rules.facts import Facts, PainFacts
from coaching.board.rules.news_text import HOUSE, NewsUnits, beside_care
from coaching.board.rules.text import Words, load_words
from shared.kit.text import capital, listed, weekday_words

KEEP_TO_IT = "Keep to the limit. The coach decides when it is lifted."
# By the studio's own lines, which may ask sooner than the limits let anybody rest.
ASK_FIRST = "Ask how it feels before any hard swings."


def care(facts: Facts, found: Care, *, may_read_pain: bool, units: NewsUnits = HOUSE) -> Words:
    """Pain first. Without leave to read pain notes, the limit and nothing of the note."""
    since = f"since {weekday_words(found.since, facts.today)}"
    if not may_read_pain:
        return Words(_limit(found), since, KEEP_TO_IT)
    return Words(_care_reason(facts, found, units), since, _care_action(facts, found))


def _limit(found: Care) -> str:
    if not found.stops:
        return "Care: ask the coach before any hard swings."
    parts = [stop.part for stop in found.stops if stop.part]
    limits = [f"no {name}" for name in parts]
    if len(parts) < len(found.stops):
        limits.append("no hard swings")
    return capital(f"{listed(limits)} until a coach clears it.")


def _care_reason(facts: Facts, found: Care, units: NewsUnits) -> str:
    told = pain_words(found.pains, facts.today)
    if found.why is Why.STOPPED:
        stopped = listed(stop.part or "all hard work" for stop in found.stops)
        return f"{capital(stopped)} stopped{f': {told}' if told else ''}."
    if found.why is Why.SERIOUS:
        return f"{capital(told)}."
    if found.why is Why.JUMP:
        down = facts.speed_down
        speed = f" {beside_care(down, units, minor=facts.minor)}" if down else ""
        return f"{load_words(facts)}. {capital(told)}.{speed}"
    first = facts.parts[0].name if facts.parts else "part 1"
    return f"{capital(told)}. {first} was done on both days, and not since."


def _care_action(facts: Facts, found: Care) -> str:
    if found.why is Why.JUMP:
        guardian = "the guardian and " if facts.minor else ""
        tell = f"Tell {guardian}whoever looks after the gym work."
        rests = facts.load.is_much
        return f"Rest from hard swings. {tell}" if rests else f"{ASK_FIRST} {tell}"
    if found.why is Why.LEFT_ALONE:
        return "Ask how it feels, and swap part 1 for a form without a ball."
    guardian = " The guardian was told too." if facts.minor else ""
    return f"Ask how it is before anything hard. Send them to a doctor where needed.{guardian}"


def pain_words(pains: Iterable[PainFacts], today: date) -> str:
    """'lower back 3/10 on Sat 18 Jan and Mon 20 Jan', gathered by place and level."""
    places: dict[tuple[str, tuple[str, ...]], list[PainFacts]] = {}
    for pain in sorted(pains, key=lambda pain: pain.day):
        places.setdefault((pain.where or "pain", pain.signs), []).append(pain)
    return (
        listed(_place_words(*place, told, today) for place, told in places.items())
        if places
        else ""
    )


def _place_words(where: str, signs: tuple[str, ...], told: list[PainFacts], today: date) -> str:
    days = listed(dict.fromkeys(weekday_words(pain.day, today) for pain in told))
    words = ", ".join((f"{where} {max(pain.level for pain in told)}/10", *signs))
    return f"{words} on {days}"
