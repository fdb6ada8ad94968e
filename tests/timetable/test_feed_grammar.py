"""The feed against RFC 5545, read by hand from its grammar: no library of ours or of others.

Section 3.1 (lines, folding, the name, parameters and value of each), 3.3.11 (escapes of text),
3.6.5 (a VTIMEZONE for every TZID, and the offset that it gives), 3.6.1 and 3.7 (what must and
may not be there). RFC 7986, 5.1 and 5.7: NAME and REFRESH-INTERVAL.
"""

import random
import re
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from coaching.timetable.calendar_file import Single, Weekly, calendar_file

NOW = datetime(2031, 2, 26, 12, tzinfo=UTC)
LINE = re.compile(
    r'([A-Z0-9-]+)((?:;[A-Z0-9-]+=(?:"[^"\x00-\x1f\x7f]*"|[^";:,\x00-\x1f\x7f]*))*):([^\x00-\x08'
    r"\x0a-\x1f\x7f]*)"
)
LETTERS = "ab ÄöŁ,;:\\\"'\n🏌漢字n=-"


def lines_of(raw: bytes) -> list[tuple[str, dict[str, str], str]]:
    """Name, parameters and value of each line; whatever the grammar does not allow fails."""
    assert raw.endswith(b"\r\n")
    physical = raw.removesuffix(b"\r\n").split(b"\r\n")
    assert all(0 < len(line) <= 75 and b"\r" not in line and b"\n" not in line
               for line in physical)  # fmt: skip
    found = []
    for line in raw.removesuffix(b"\r\n").replace(b"\r\n ", b"").split(b"\r\n"):
        match = LINE.fullmatch(line.decode())
        assert match, line
        parameters = dict(each.split("=") for each in match[2].split(";")[1:])
        found.append((match[1], parameters, match[3]))
    return found


def text_of(value: str) -> str:
    """TEXT, 3.3.11: nothing but these escapes, and no bare comma or semicolon."""
    assert re.fullmatch(r"(?:[^\\,;]|\\[\\,;nN])*", value), value
    return re.sub(r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], value)


def components(lines, name: str) -> list[list[tuple[str, dict[str, str], str]]]:
    """The lines of each such component, the ends of those inside it too."""
    found, inside = [], None
    for line in lines:
        if line[0] == "BEGIN" and line[2] == name:
            inside = []
        elif line[0] == "END" and line[2] == name:
            found.append(inside)
            inside = None
        elif inside is not None:
            inside.append(line)
    return found


def value(lines, name: str) -> str:
    (found,) = [value for each, _, value in lines if each == name]
    return found


def local(text: str) -> datetime:
    return datetime.strptime(text, "%Y%m%dT%H%M%S")  # noqa: DTZ007 (a wall clock)


def offset_at(zone, wall: datetime) -> timedelta:
    """What the file itself says: of the last change at or before this hour (3.6.5)."""
    changes = []
    for kind in ("STANDARD", "DAYLIGHT"):
        for rule in components(zone, kind):
            assert not any(name == "RRULE" for name, _, _ in rule)
            far = value(rule, "TZOFFSETTO")
            offset = timedelta(hours=int(far[1:3]), minutes=int(far[3:5]))
            begins = [value(rule, "DTSTART")]
            begins += [day for name, _, days in rule if name == "RDATE" for day in days.split(",")]
            changes += [(local(each), -offset if far[0] == "-" else offset) for each in begins]
    return max(change for change in changes if change[0] <= wall)[1]


def weekly(title="Lesson", zone="Europe/Berlin", first=date(2031, 3, 4), **changed) -> Weekly:
    fields = {
        "uid": "w1", "title": title, "first": first, "at": time(16, 30), "zone": zone,
        "minutes": 50, "rule": "FREQ=WEEKLY", "last": None, "place": "Bay 2; left, far",
        "off": (), "moved": (), "changed_at": NOW,
    }  # fmt: skip
    return Weekly(**fields | changed)


def test_every_line_and_escape_over_a_thousand_names():
    chance = random.Random(5545)
    for _ in range(1000):
        name = "".join(chance.choices(LETTERS, k=chance.randint(1, 200))).strip() or "x"
        lines = lines_of(calendar_file(name, [weekly(name)], [], NOW))
        assert text_of(value(lines, "NAME")) == name
        assert text_of(value(lines, "X-WR-CALNAME")) == name
        (event,) = components(lines, "VEVENT")
        assert text_of(value(event, "SUMMARY")) == name
        assert text_of(value(event, "LOCATION")) == "Bay 2; left, far"


def test_what_must_be_there_is_and_what_asks_for_more_is_not():
    single = Single("s1", "One", NOW, "America/Sao_Paulo", 45, "", NOW)
    lines = lines_of(calendar_file("Lessons", [weekly()], [single], NOW))
    assert [value(lines, name) for name in ("VERSION", "REFRESH-INTERVAL")] == ["2.0", "PT6H"]
    assert not any(name == "METHOD" for name, _, _ in lines), "Content-Type would have to say it"
    zones = {value(zone, "TZID") for zone in components(lines, "VTIMEZONE")}
    named = {parameters["TZID"] for _, parameters, _ in lines if "TZID" in parameters}
    assert zones == named == {"Europe/Berlin", "America/Sao_Paulo"}
    for event in components(lines, "VEVENT"):
        for name in ("UID", "DTSTART", "DURATION"):
            value(event, name)
        assert re.fullmatch(r"\d{8}T\d{6}Z", value(event, "DTSTAMP"))


@pytest.mark.parametrize("years_ago", [0, 1, 6])
@pytest.mark.parametrize(
    "zone", ["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Africa/Casablanca",
             "Asia/Kathmandu", "America/Santiago"],
)  # fmt: skip
def test_the_zone_that_is_written_out_gives_each_hour_of_the_next_two_years(zone, years_ago):
    """A lesson begun six years ago had its clock written out for the first three alone."""
    first = date(2031 - years_ago, 3, 4)
    lines = lines_of(calendar_file("Lessons", [weekly(zone=zone, first=first)], [], NOW))
    (written,) = components(lines, "VTIMEZONE")
    begins = max(first, NOW.date())
    for days in range(0, 2 * 365, 7):
        wall = datetime.combine(begins + timedelta(days=days), time(16, 30))
        assert offset_at(written, wall) == wall.replace(tzinfo=ZoneInfo(zone)).utcoffset(), wall


def test_days_off_moves_and_the_end_are_on_the_series_own_clock():
    moved = datetime(2031, 3, 27, 9, tzinfo=UTC)
    each = weekly(off=(date(2031, 3, 11),), moved=((date(2031, 3, 25), moved),),
                  last=date(2031, 5, 6))  # fmt: skip
    usual, other = components(lines_of(calendar_file("Lessons", [each], [], NOW)), "VEVENT")
    assert value(usual, "UID") == value(other, "UID")
    assert value(usual, "EXDATE") == "20310311T163000"
    rule = dict(part.split("=") for part in value(usual, "RRULE").split(";"))
    # 3.3.10: UNTIL in UTC where DTSTART has a zone; it includes the last one.
    assert rule["UNTIL"] == "20310506T143000Z"
    assert value(other, "RECURRENCE-ID") == "20310325T163000"
    assert value(other, "DTSTART") == "20310327T100000"
