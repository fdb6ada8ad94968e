"""What lists of people and of past practice are headed with, in twelve languages.

A field a line, `field=heading|heading`; nothing before the sign: we keep none of it. Written down
before the words were: 75 of 700 were not known, and 36 were another field unseen. General usage
(no source).
"""

from pathlib import Path

import pytest

from coaching.bring.columns import PEOPLE, days_in_letters, recognised
from coaching.bring.past_rows import PRACTICE

HERE = Path(__file__).parent
LINES = [
    (sort, *line.split("="))
    for name, sort in (("headings.txt", PEOPLE), ("past_headings.txt", PRACTICE))
    for line in (HERE / name).read_text("utf-8").splitlines()
]
HEAD = ["Name", "Born", "Bezug", "Bezug Handy", "Mail Bezug", "Tag", "Anfangen"]
ADA = ["Ada Blom", "2013", "Eva Blom", "0151 200101", "blom@example.org", "Mo", "15:30"]
BO = ["Bo Lind", "2012", "Per Lind", "0151 200102", "lind@example.org", "Di", "16:30"]
CIA = ["Cia Mark", "2014", "Ida Mark", "0151 200103", "mark@example.org", "Mi", "17:00"]


@pytest.mark.parametrize(("sort", "field", "headings"), LINES)
def test_a_heading_is_its_field_or_nothing(sort, field, headings):
    said = {h: sort.meant_by(h) or sort.nearly_meant_by(h) or "" for h in headings.split("|")}
    assert {h: name for h, name in said.items() if name != field} == {}


@pytest.mark.parametrize(
    ("letters", "days"),
    [
        ("LMXJV", {"l": 0, "m": 1, "x": 2, "j": 3, "v": 4}),  # X is Spanish.
        ("LMJV", {"l": 0, "j": 3, "v": 4}),  # M is two days in French.
        ("LGV", {"l": 0, "g": 3, "v": 4}),
        ("MWF", {"m": 0, "w": 2, "f": 4}),
        ("TS", {}),
        ("MF", {"f": 4}),  # M is two days in German.
        ("AB", {}),
    ],
)
def test_days_in_one_letter_are_told_where_no_language_says_another(letters, days):
    assert days_in_letters([*letters]) == days


def test_a_letter_under_another_heading_is_no_day():
    rows = [["Name", "E-mail", "Sex"], *([each, f"{each}@a.org", "M"] for each in ("Ada", "Bo"))]
    assert recognised(rows).fields == ("name", "email", "")


def test_kin_by_the_name_that_they_share_and_what_is_theirs_by_the_word():
    assert recognised([HEAD, ADA, BO, CIA]).fields == (
        "name", "born", "guardian", "guardian_phone", "guardian_email", "weekday", "at",
    )  # fmt: skip


def test_who_shares_no_name_is_asked_about():
    doctors = [[*row[:2], "Dr Hall", *row[3:]] for row in (ADA, BO, CIA)]
    fields = recognised([HEAD, *doctors]).fields
    assert not {"guardian", "phone", "email", "guardian_phone"} & {*fields}


@pytest.mark.parametrize("heading", ["Sibling", "Invoice to", "Fahrer", "Hermano"])
def test_who_has_the_name_alone_is_asked_about(heading):
    rows = [["Name", "Born", heading], *(row[:3] for row in (ADA, BO, CIA))]
    assert recognised(rows).fields == ("name", "born", "")


def test_an_hour_at_which_something_ends_is_not_when_it_begins():
    head = [*HEAD[:-1], "Ende"]
    assert recognised([head, ADA, BO, CIA]).fields[-1] == ""


def test_a_surname_stands_alone_in_no_list():
    rows = [["Nachname", "Hausname", "Mail"], ["Blom", "Ada", "a@a.org"], ["Lind", "Bo", "b@a.org"]]
    assert recognised(rows).fields == ("last_name", "first_name", "email")


# What is nobody's and nothing of ours, with what stands in it.
BESIDE = {
    "Doctor": "Dr Ray", "Doctor phone": "020 7946 0001", "Emergency e-mail": "x@a.org",
    "Sibling": "Ida Blom", "School": "North", "School coach": "Ann", "Second day": "Fri",
    "End": "16:30", "Last lesson": "2026-10-01", "Coach's notes": "good", "Old coach": "Ann",
    "Group": "A", "Goal reached": "yes", "Age group": "U12", "Number of lessons": "3",
    "Licence": "123456789", "Joined": "2019-01-02", "Birth place": "Oslo", "Invoice to": "Eva Blom",
    "Billing email": "b@a.org", "Fax": "020 7946 0001", "Grandparent": "Ole Blom",
    "Notarzt": "Dr A", "Hausarzt Tel.": "030 123456", "Schule": "a", "Fahrer": "Eva Blom",
    "Médecin": "Dr A", "Tél. médecin": "01 23 45 67 89", "Hermano": "Leo Blom", "Pediatra": "a",
    "Kolejny dzień": "pon",
}  # fmt: skip


@pytest.mark.parametrize("many", [1, 2, 7])
@pytest.mark.parametrize(("heading", "cell"), BESIDE.items())
def test_what_is_nothing_of_ours_is_taken_for_nothing(heading, cell, many):
    rows = [[*row[:many], cell] for row in (ADA, BO, CIA)]
    assert recognised([[*HEAD[:many], heading], *rows]).fields[-1] == ""
