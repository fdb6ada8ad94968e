"""Days as people and machines write them: in figures, by the month's name, in epoch seconds. Pure.

The names of the months are those of general dictionaries (no source); none is a maker's own.
"""

import re
from collections.abc import Sequence
from datetime import UTC, date, datetime, tzinfo
from enum import StrEnum

from practice.importing.cells import Bad, Cell, is_nothing, text_of
from practice.importing.meaning import plain


class DateOrder(StrEnum):
    """The order of day, month and year."""

    YMD = "ymd"
    DMY = "dmy"
    MDY = "mdy"


# A leap year, by which a day without a year is tried.
ANY_YEAR = 2024
# Seconds since 1970 of the years 2000 to 2099; as milliseconds and microseconds as well.
_EPOCH = (946_684_800, 4_102_444_800)
_FINER = (1, 1_000, 1_000_000)
_IN_SIGNS = re.compile(r"(?:(\d{4})\s*[年년]\s*)?(\d{1,2})\s*[月월]\s*(\d{1,2})\s*[日일]")
_BEHIND = r"(?:[ T,].{0,40})?"
_DAY = re.compile(rf"(\d{{1,4}})[-./ ](\d{{1,2}})[-./ ](\d{{1,4}})\.?{_BEHIND}", re.ASCII)
_WITHOUT_YEAR = re.compile(rf"(\d{{1,2}})([-./])(\d{{1,2}})(?:\.|/)?{_BEHIND}", re.ASCII)
_AT_ONCE = re.compile(r"(20\d{2})(\d{2})(\d{2})(?:[T_ ].{0,40})?", re.ASCII)
_IN_UTC = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(?::\d\d(?:\.\d{1,9})?)?Z", re.ASCII)
# The first letters of each month's name; where two begin alike, the longest start counts.
_STARTS = (
    "jan ene gen sty led oca ian tam янв січ", "feb fev fév lut uno helm sub фев",
    "mar mrt mär brez maalis мар", "apr avr abr kwi dub huht nis апр",
    "may mai mei mag maj kve touk май мая", "jun juin giu cze cerv kesa haz iun июн",
    "jul juil lug lip cervenec cervence heina tem iul июл",
    "aug aou ago sie srp elo авг", "sep set wrz zar syys eyl szept сен",
    "oct okt ott out paz rij loka eki окт", "nov lis marras kas noi ноя",
    "dec dez dic des gru pros joulu ara дек",
)  # fmt: skip
_MONTHS = {
    plain(start): number for number, starts in enumerate(_STARTS, 1) for start in starts.split()
}
_LONGEST_START = max(map(len, _MONTHS))
_WEEKDAYS = (
    "mon tue wed thu fri sat sun mo di mi do fr sa so lun mardi merc mer jeu ven vend sam dim "
    "mie mier jue vie viern sab dom gio giov ven seg ter qua qui sex maa din woe don vrij vri "
    "zat "
    "zon zo man tis tirs ons tor fre lor lord son sond pon wto sro czw pia sob nie po ut st ct "
    "pa "
    "ne ma ti ke to pe la su пн вт ср чт пт сб вс нд wo vr za zo do se on to fr lo so cz wt nd "
    "h k sze cs p szo v hetfo kedd szerda csutortok pentek szombat vasarnap lu joi vi du pzt "
    "sal car "
    "per cum cmt paz pon uto sri cet pet sub ned δευ τρι τετ πεμ παρ σαβ κυρ"
)
_DAY_NAMES = frozenset(_WEEKDAYS.split())
_BETWEEN_WORDS = "de del den der le el il la the of o am on d"
_BETWEEN = frozenset(_BETWEEN_WORDS.split())
_ORDINAL = re.compile(r"(\d{1,2})(?:st|nd|rd|th|er|e|º|ª|o)?", re.ASCII)
_CLOCK = re.compile(r"\d{1,2}[:h]\d{2}\S*(?:\s*[ap]\.?m\.?)?|\d{1,2}\s*[ap]\.?m\.?", re.IGNORECASE)
_DAY_BEFORE = re.compile(r"^([^\W\d]{2,10})[.,]*\s+(?=\d)")


def day(cell: Cell, order: DateOrder, year: int | None = None, zone: tzinfo = UTC) -> date | None:
    """A day, whatever time follows it, or None for an empty cell. Raises Bad.

    `year` is that of days that say none. A moment in UTC is the day that it was in `zone`.
    """
    if isinstance(cell, datetime):
        return cell.date()
    text = text_of(cell)
    if is_nothing(text):
        return None
    if moment := _moment(text):
        return moment.astimezone(zone).date()
    if found := _IN_SIGNS.match(text):
        own = int(found[1]) if found[1] else _year(year, text)
        return _date(own, int(found[2]), int(found[3]), text)
    if found := _DAY_BEFORE.match(text):
        text = text[found.end() :] if _is_day_name(found[1]) else text
    return _in_numbers(text, order, year) or _named(text, year)


def _moment(text: str) -> datetime | None:
    """A moment that is surely meant in UTC: seconds of the epoch, or ISO 8601 with its Z."""
    if _IN_UTC.fullmatch(text):
        return datetime.fromisoformat(text)
    if re.fullmatch(r"\d{9,16}(?:\.\d{1,9})?", text, re.ASCII):
        for finer in _FINER:
            if _EPOCH[0] <= (seconds := float(text) / finer) < _EPOCH[1]:
                return datetime.fromtimestamp(seconds, UTC)
    return None


def _in_numbers(text: str, order: DateOrder, year: int | None) -> date | None:
    if found := _AT_ONCE.fullmatch(text):
        return _date(int(found[1]), int(found[2]), int(found[3]), text)
    if found := _DAY.fullmatch(text):
        one, two, three = (int(part) for part in found.groups())
        if len(found[1]) == 4:  # Whoever begins with the year goes on to the month.
            return _date(one, two, three, text)
        if len(found[3]) == 2:
            three += 2000
        if order is DateOrder.MDY:
            one, two = two, one
        return _date(three, two, one, text)
    if found := _WITHOUT_YEAR.fullmatch(text):
        one, two = int(found[1]), int(found[3])
        if order is DateOrder.MDY:
            one, two = two, one
        return _date(_year(year, text), two, one, text)
    return None


def _named(text: str, year: int | None) -> date:
    """A day with its month by name: 3 November 2024, Nov 3rd, 3. Nov., le 3 nov. 24."""
    month, number, own = _parts(text)
    if not month or not number:
        raise Bad(f"“{text[:30]}” is not a day. Write it like 2026-02-25.")
    return _date(own or _year(year, text), month, number, text)


def _parts(text: str) -> tuple[int, int, int]:
    """Month, day and year of such a text; 0 for what is not said, three times if it is no day."""
    nothing = 0, 0, 0
    if len(text) > 60:
        return nothing
    words = plain(_CLOCK.sub(" ", text)).split()
    named = [word for word in words if not word[0].isdigit() and word not in _BETWEEN]
    months = [month for word in named if (month := _month(word))]
    strange = [word for word in named if not _month(word) and not _is_day_name(word)]
    figures = [word for word in words if word[0].isdigit()]
    years = [int(each) for each in figures if len(each) == 4 and each.isdigit()]
    days = [int(found[1]) for each in figures if (found := _ORDINAL.fullmatch(each))]
    if not months or strange or not days or len(years) > 1:
        return nothing
    # 'mar. 5 nov.' is a Tuesday in November: the last of two names is the month.
    own = years[0] if years else 2000 + days[1] if len(days) == 2 and days[1] > 12 else 0
    return months[-1], days[0], own


def _month(word: str) -> int:
    for length in range(min(_LONGEST_START, len(word)), 2, -1):
        if word[:length] in _MONTHS:
            return _MONTHS[word[:length]]
    return 0


def _is_day_name(word: str) -> bool:
    text = plain(word)
    return text in _DAY_NAMES or text[:3] in _DAY_NAMES


def _year(year: int | None, text: str) -> int:
    if year is None:
        raise Bad(f"“{text[:30]}” has no year. Say the year of these days.")
    return year


def _date(year: int, month: int, number: int, text: str) -> date:
    try:
        return date(year, month, number)
    except ValueError as error:
        raise Bad(f"“{text[:30]}” is not a day of the calendar in the chosen order.") from error


def is_day(cell: Cell) -> bool:
    """Whether it can be a day in any order, with or without a year."""
    return any(_reads(cell, order, ANY_YEAR) for order in DateOrder)


def is_whole_day(cell: Cell) -> bool:
    """Whether it can be nothing but a day: it says its year or its month by name."""
    if isinstance(cell, float) or _WITHOUT_YEAR.fullmatch(text_of(cell)):
        return False
    if re.fullmatch(r"[\d.]+", text_of(cell)) and text_of(cell).count(".") < 2:
        return False
    return is_day(cell)


def lacks_year(cells: Sequence[Cell], order: DateOrder) -> bool:
    """Whether there is a day without its year among them."""
    return any(
        _reads(cell, order, ANY_YEAR) and not _reads(cell, order, None)
        for cell in cells
        if text_of(cell)
    )


def likely_year(cells: Sequence[Cell], order: DateOrder, today: date) -> int | None:
    """The latest year in which none of the days without one lies ahead."""
    found = []
    for cell in cells:
        if not _reads(cell, order, None) and _reads(cell, order, ANY_YEAR):
            without = day(cell, order, ANY_YEAR)
            found += [(without.month, without.day)] if without else []
    if not found:
        return None
    return today.year if max(found) <= (today.month, today.day) else today.year - 1


def _reads(cell: Cell, order: DateOrder, year: int | None) -> bool:
    try:
        return day(cell, order, year) is not None
    except Bad:
        return False


# The first two numbers of a day, behind the name of its weekday.
_TWO_NUMBERS = re.compile(r"(?:[^\W\d]+[.,]?\s+)?(\d{1,4})([-./ ])(\d{1,2})(?!\d|:)")


def both_days(cell: Cell, year: int | None) -> tuple[date, date] | None:
    """What a cell is with the day first and with the month first, where these are two days."""
    try:
        both = day(cell, DateOrder.DMY, year), day(cell, DateOrder.MDY, year)
    except Bad:
        return None
    return (both[0], both[1]) if both[0] and both[1] and both[0] != both[1] else None


# What a day is headed with in languages that put it before the month (no source).
_HEADINGS = (
    "datum dato fecha dia giorno tag jour dag dzien den paiva paivamaara pvm nap kelt tarih gun zi "
    "ημερομηνια дата день"
)
_NOT_ENGLISH = frozenset(map(plain, _HEADINGS.split()))


def is_not_english(heading: str) -> bool:
    """Whether the heading of the days is surely in another language."""
    return bool(_NOT_ENGLISH & {*plain(heading).split()})


def guess_order(cells: Sequence[Cell]) -> DateOrder:
    """The order of day and month, by the days that only one order allows."""
    firsts, seconds = [0], [0]
    for cell in cells:
        if isinstance(cell, datetime):
            continue
        found = _TWO_NUMBERS.match(text_of(cell))
        if found and len(found[1]) == 4:
            return DateOrder.YMD
        if found:
            firsts.append(int(found[1]))
            seconds.append(int(found[3]))
    if max(seconds) > 12:
        return DateOrder.MDY
    return DateOrder.DMY if len(firsts) > 1 else DateOrder.YMD


def is_order_sure(cells: Sequence[Cell], order: DateOrder) -> bool:
    """Whether the days themselves say which of their numbers is the month.

    Between points the day stands first wherever days are written with points.
    """
    if order is DateOrder.YMD:
        return True
    found = [_TWO_NUMBERS.match(text_of(cell)) for cell in cells]
    return any(
        max(int(each[1]), int(each[3])) > 12 or (each[2] == "." and order is DateOrder.DMY)
        for each in found
        if each
    )
