"""Lists that are laid out in other ways than a person a row. All invented."""

from datetime import date

import pytest

from coaching.bring.columns import age_in, born_in, recognised, time_in, weekday_in
from coaching.bring.layouts import as_list
from coaching.bring.rows import read_rows

TODAY = date(2031, 2, 26)


def people(rows):
    return read_rows(recognised(as_list(rows)), {}, TODAY)


WEEK = [
    ["Plan", "", "", ""], ["Hour", "Monday", "Wednesday", "Friday"],
    ["15:00", "Ada Hill", "Bo Lund", "free"], ["", "Cy Moor", "", ""],
    ["16:00", "", "-", "Ida Ray"],
]  # fmt: skip


@pytest.mark.parametrize("turned", [False, True])
def test_a_plan_of_the_week_is_a_name_a_row(turned):
    rows = [list(each) for each in zip(*WEEK[1:], strict=True)] if turned else WEEK
    if turned:  # Hours across, and none left out.
        rows = [["Day", "15:00", "16:00"], ["Monday", "Ada Hill", ""], ["Wednesday", "Bo Lund", ""],
                ["Friday", "", "Ida Ray"]]  # fmt: skip
    found = {(each.name, each.weekday, each.at.hour) for each in people(rows)}
    wanted = {("Ada Hill", 0, 15), ("Bo Lund", 2, 15), ("Ida Ray", 4, 16)}
    assert found == (wanted if turned else wanted | {("Cy Moor", 0, 15)})


def test_each_child_of_a_family_is_a_row_with_what_they_share():
    found = people([
        ["Guardian", "Guardian mail", "Child 1", "Age", "Child 2", "Age", "Lesson"],
        ["Gil Hill", "g@example.org", "Ada Hill", "9", "Kim Hill", "12", "Tue 16:30"],
        ["Jo Lund", "j@example.org", "Bo Lund", "10", "", "", "Wed 17:00"],
    ])  # fmt: skip
    assert [(each.name, each.guardian_email, each.weekday) for each in found] == [
        ("Ada Hill", "g@example.org", 1), ("Kim Hill", "g@example.org", 1),
        ("Bo Lund", "j@example.org", 2),
    ]  # fmt: skip


def test_points_lead_from_a_name_to_its_number():
    found = people([
        ["H"], ["Hill", "Ada ........ 555 010 223"],
        ["Hume", "Bo .... 555 014 870   b@example.org"],
        ["L"], ["Lund", "Cy ....... 555 017 396"],
    ])  # fmt: skip
    assert [(each.name, each.phone) for each in found if not each.faults] == [
        ("Ada Hill", "555 010 223"), ("Bo Hume", "555 014 870"), ("Cy Lund", "555 017 396"),
    ]  # fmt: skip


def test_a_person_a_row_stays_as_it_is():
    rows = [["Name", "Mail"], ["Ada", "a@example.org"]]
    assert as_list(rows) == rows


@pytest.mark.parametrize("last", [["Total", "", "£120"], ["5 pupils", "", ""], ["Tuesday", "", ""]])
def test_a_line_between_or_below_the_people_is_nobody(last):
    found = people([["Name", "Mail", "Fee"], ["Ada Hill", "a@example.org", "£120"], last])
    assert [bool(each.faults) for each in found] == [False, True]
    assert "names nobody" in found[1].faults[0]


def test_a_heading_that_nobody_knows_is_asked_about():
    """Under two such the mails of children and parents were taken for each other's."""
    rows = [["Zufaxn", "Brolt", "Quimm"], ["K-031", "a@example.org", "g@example.org"],
            ["K-032", "b@example.org", "h@example.org"]]  # fmt: skip
    table = recognised(rows)
    assert table.headings == ("Zufaxn", "Brolt", "Quimm")
    assert table.fields == ("", "", "")


def test_an_age_under_eighteen_makes_a_child():
    rows = [["Name", "Age", "Mail"], ["Ada", "11", "a@example.org"], ["Bo", "43", "b@example.org"]]
    assert [each.is_minor for each in people(rows)] == [True, False]


@pytest.mark.parametrize(
    ("text", "hour"),
    [("午後5時30分", (17, 30)), ("오후 5시 반", (17, 30)), ("下午5点", (17, 0)),
     ("kl. 17", (17, 0)), ("16u30", (16, 30)), ("17.30 uur", (17, 30)),
     ("5:15 μμ", (17, 15)), ("as 17h", (17, 0))],
)  # fmt: skip
def test_hours_in_more_languages(text, hour):
    assert time_in(text) == hour


@pytest.mark.parametrize(
    ("text", "day"),
    [("火曜日", 1), ("화요일", 1), ("周二", 1), ("火曜17:30", 1), ("terça-feira", 1), ("pátek", 4),
     ("lördag", 5), ("вторник", 1), ("Tue 16:30 to 17", 1)],
)  # fmt: skip
def test_weekdays_in_more_languages(text, day):
    assert weekday_in(text) == day


def test_years_of_birth_by_an_era_and_in_two_figures():
    """Heisei 1 is 1989, Reiwa 1 is 2019 (Japan's government, 1989 and 2019; from memory)."""
    assert born_in("平成22年7月2日") == 2010
    assert born_in("令和1年") == 2019
    assert (born_in("03/09/12"), born_in("03/09/87")) == (2012, 1987)
    assert (age_in("11 ans"), age_in(9.0), age_in("11歳"), age_in("2012")) == (11, 9, 11, None)
