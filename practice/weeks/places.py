"""Where practice happens, and where a drill can be done. Pure."""

from enum import StrEnum


class DayPlace(StrEnum):
    """Where a student practises on one of their days."""

    HOME = "home"
    NET = "net"
    RANGE = "range"
    GYM = "gym"
    COURSE = "course"


PLACE_WORDS = {
    DayPlace.HOME: "at home",
    DayPlace.NET: "net at home",
    DayPlace.RANGE: "range or bay",
    DayPlace.GYM: "gym",
    DayPlace.COURSE: "course or short-game lawn",
}
EVERYWHERE = frozenset(DayPlace)


def place_words(key: str) -> str:
    """How a kept place is said; nothing for one that is none."""
    return PLACE_WORDS[DayPlace(key)] if key in PLACE_WORDS else ""


# A drill says in free words where it can be done; these are looked for in them.
_NAMED = {
    DayPlace.HOME: ("home", "hotel", "carpet", "garden", "office"),
    DayPlace.NET: ("net",),
    DayPlace.RANGE: ("range", "bay", "simulator"),
    DayPlace.GYM: ("gym",),
    DayPlace.COURSE: ("course", "lawn", "grass", "green"),
}


def places_in(words: str) -> frozenset[DayPlace]:
    """The places a drill's own words name; everywhere if they name none.

    Who has a net at home is at home, so a drill for the home suits there too.

    Examples
    --------
    >>> sorted(places_in("range, net, bay"))
    [<Place.NET: 'net'>, <Place.RANGE: 'range'>]
    >>> places_in("anywhere") == places_in("") == EVERYWHERE
    True
    """
    text = words.lower()
    if "anywhere" in text or "everywhere" in text:
        return EVERYWHERE
    found = {place for place, names in _NAMED.items() if any(name in text for name in names)}
    if DayPlace.HOME in found:
        found.add(DayPlace.NET)
    return frozenset(found) or EVERYWHERE


def in_words(places: frozenset[DayPlace]) -> str:
    """'range or bay, or gym', in the order of the list above."""
    return ", or ".join(PLACE_WORDS[place] for place in DayPlace if place in places)
