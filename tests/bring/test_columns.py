"""Lists as coaches keep them: what each column is, and what each row says. All invented."""

from datetime import UTC, date, datetime, time

import pytest

from coaching.bring.columns import recognised, time_in, weekday_in
from coaching.bring.rows import read_rows

TODAY = date(2031, 2, 26)
COACHES = {"mara lindgren": "m", "tom okafor": "t", "tom ashby": "a"}

# Five languages and layouts, with what every column is.
LISTS = {
    "English, headed": (
        [["Student", "E-mail", "Mobile", "Day", "Time", "Coach", "Goal"],
         ["Ada Hill", "ada@example.org", "+44 20 7946 0000", "Tuesday", "16:30", "Mara", "Play"],
         ["Bo Lund", "bo@example.org", "", "Wed", "5 pm", "", ""]],
        ["name", "email", "phone", "weekday", "at", "coach", "aim"],
    ),
    "German, two names, one lesson column": (
        [["Nachname", "Vorname", "E-Mail-Adresse", "Termin", "Elternteil", "E-Mail Eltern"],
         ["Hügel", "Ada", "ada@example.org", "Di 16:30", "", ""],
         ["Strahl", "Kim", "", "Do 17.15 Uhr", "Gil Strahl", "gil@example.org"]],
        ["last_name", "first_name", "email", "lesson", "guardian", "guardian_email"],
    ),
    "French": (
        [["Nom", "Prénom", "Courriel", "Jour", "Heure", "Entraîneur", "Objectif"],
         ["Colline", "Ada", "ada@example.org", "mardi", "16h30", "Mara Lindgren", "Jouer 15"]],
        ["last_name", "first_name", "email", "weekday", "at", "coach", "aim"],
    ),
    "Spanish": (
        [["Nombre", "Correo electrónico", "Teléfono", "Día", "Hora", "Objetivo"],
         ["Ada Colina", "ada@example.org", "600 000 000", "miércoles", "16:30", "Bajar de 90"]],
        ["name", "email", "phone", "weekday", "at", "aim"],
    ),
    "Dutch": (
        [["Naam", "E-mail", "Lesdag", "Lestijd", "Leraar", "Geboortejaar"],
         ["Ada Heuvel", "ada@example.org", "dinsdag", "16:30", "Okafor", "1980"]],
        ["name", "email", "weekday", "at", "coach", "born"],
    ),
    "Italian, lesson in one column": (
        [["Nome e cognome", "Mail", "Lezione", "Maestro"],
         ["Ada Colle", "ada@example.org", "martedì 16:30", "Tom Ashby"]],
        ["name", "email", "lesson", "coach"],
    ),
    "no heading": (
        [["Ada Hill", "ada@example.org", "Tuesday", "16:30"],
         ["Bo Lund", "bo@example.org", "Thu", "17:00"],
         ["Cy Moor", "", "Fri", "9:15"]],
        ["name", "email", "weekday", "at"],
    ),
    "names alone": ([["Ada Hill"], ["Bo Lund"]], ["name"]),
    "an address book's lines": (
        [["Ada Hill <ada@example.org>"], ["Bo Lund <bo@example.org>"]], ["email"],
    ),
    # A word with another ending than the lists have was the name of everybody.
    "German, a woman who leads": (
        [["Nachname", "Vorname", "E-Mail", "Wochentag", "Uhrzeit", "Trainerin", "Bemerkung"],
         ["Hügel", "Ada", "ada@example.org", "Mo", "08:00 Uhr", "Mara", "Links"],
         ["Strahl", "Kim", "kim@example.org", "Di", "09:00 Uhr", "Mara", ""]],
        ["last_name", "first_name", "email", "weekday", "at", "coach", ""],
    ),
    "a title above, words cut short": (
        [["Unterrichtsliste Winter", "", "", "", "", "", "", "", ""],
         ["Nr.", "Name, Vorname", "Mail", "Tel. mobil", "geb.", "Erziehungsber.",
          "Mail Erziehungsber.", "Tag und Uhrzeit", "Lehrer/in"],
         [1.0, "Hügel, Ada", "ada@example.org", "0171 5550100", "", "", "", "Mo 08:00", "Mara"],
         [2.0, "Strahl, Kim", "", "", datetime(2013, 5, 3, tzinfo=UTC), "Strahl, Gil",
          "gil@example.org", "Di 9:00", "Mara"]],
        ["", "name", "email", "phone", "born", "guardian", "guardian_email", "lesson", "coach"],
    ),
    "two names that are headings elsewhere": ([["Ada"], ["Ora"], ["Dom"]], ["name"]),
    "a column nobody needs": (
        [["Name", "Invoice", "Mail"], ["Ada Hill", "A-17", "ada@example.org"]],
        ["name", "", "email"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", LISTS)
def test_every_column_of_a_list_is_taken_for_what_it_is(name):
    rows, fields = LISTS[name]
    assert list(recognised(rows).fields) == fields


def person(
    *cells, headings=("Name", "Mail", "Lesson", "Coach", "Guardian", "Guardian mail", "Born")
):
    table = recognised([list(headings)[: len(cells)], list(cells)])
    return read_rows(table, COACHES, TODAY)[0]


def test_a_row_is_read_as_it_is_meant():
    found = person("Ada  Hill", "ADA@example.org", "Tue 4:30 pm", "okafor")
    assert (found.name, found.email) == ("Ada Hill", "ada@example.org")
    assert (found.weekday, found.at, found.coach) == (1, time(16, 30), "t")
    assert not found.is_minor
    assert not found.faults


def test_last_names_first_are_turned_where_the_whole_column_has_them():
    table = recognised([["Name", "Parent"], ["Hill, Ada", ""], ["Lund,Bo", "Lund, Gil"]])
    assert [(each.name, each.guardian) for each in read_rows(table, {}, TODAY)] == [
        ("Ada Hill", ""), ("Bo Lund", "Gil Lund"),
    ]  # fmt: skip
    capitals = recognised([["Nom et prénom"], ["HILL-RAY Ada"], ["LE GALL Bo"]])
    assert [each.name for each in read_rows(capitals, {}, TODAY)] == ["Ada HILL-RAY", "Bo LE GALL"]
    for initials in (("A. Hill", "B. Ray"), ("J Hill", "K Ray"), ("JP Hill", "KL Ray")):
        kept = recognised([["Name"], *([name] for name in initials)])
        assert [each.name for each in read_rows(kept, {}, TODAY)] == [*initials]
    short = recognised([["Name"], ["NG Ada"], ["LUND Bo"], ["RAY Kim"]])
    assert [each.name for each in read_rows(short, {}, TODAY)] == ["Ada NG", "Bo LUND", "Kim RAY"]
    nearly = recognised([["Name"], ["JP Hill"], ["Bo Lund"]])
    assert [each.name for each in read_rows(nearly, {}, TODAY)] == ["JP Hill", "Bo Lund"]
    mixed = recognised([["Name"], ["Hill, Ada"], ["Bo Lund"]])
    assert [each.name for each in read_rows(mixed, {}, TODAY)] == ["Hill, Ada", "Bo Lund"]


def test_whoever_has_a_guardian_or_may_be_under_18_is_a_child():
    assert person("Kim", "", "", "", "Gil", "gil@example.org", "").is_minor
    young = person("Kim", "", "", "", "", "", "2013")
    assert young.is_minor
    assert young.faults == ["Under 18: write the guardian’s mail. The guardian enters the child."]
    assert not person("Ada", "", "", "", "", "", "2012-12-31").is_minor
    assert not person("Ada", "", "", "", "", "", "1980").is_minor


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        (("", "ada@example.org"), "No name."),
        (("Ada", "ada@"), "is no mail"),
        (("Ada", "ada@example.org", "some day 16:30"), "names no weekday"),
        (("Ada", "ada@example.org", "Tue at tea"), "is no time"),
        (("Ada", "ada@example.org", "Tue 25:00"), "is no time"),
        (("Ada", "ada@example.org", "", "Tom"), "is no coach here"),
        (("A" * 81, "ada@example.org"), "longer than 80"),
    ],
)
def test_what_cannot_be_says_what_to_write(cells, words):
    faults = person(*cells, *[""] * (4 - len(cells))).faults
    assert len(faults) == 1
    assert words in faults[0]


def test_the_same_person_or_mail_a_second_time_is_said():
    table = recognised(
        [["Name", "Mail"], ["Ada", "a@example.org"], ["Ada", "a@example.org"],
         ["Bo", "a@example.org"]]
    )  # fmt: skip
    first, second, third = read_rows(table, {}, TODAY)
    assert first.faults == []
    assert second.faults == ["The same as row 2. Delete one of them."]
    assert third.faults == ["Row 2 has this mail too. Each student needs one."]


def test_brothers_and_sisters_may_share_a_guardian():
    table = recognised(
        [["Name", "Guardian mail"], ["Kim", "g@example.org"], ["Lou", "g@example.org"]]
    )
    assert [each.faults for each in read_rows(table, {}, TODAY)] == [[], []]


def test_what_somebody_chose_goes_before_what_was_guessed():
    rows = [["Name", "Mail"], ["Ada", "a@example.org"]]
    assert recognised(rows, {0: "aim", 1: "guardian_email"}).fields == ("aim", "guardian_email")


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("16:30", (16, 30)), ("16.30", (16, 30)), ("16h30", (16, 30)), ("4 pm", (16, 0)),
        ("12 am", (0, 0)), ("12:15 p.m.", (12, 15)), ("17 Uhr", (17, 0)), ("16:30:00", (16, 30)),
        (0.6875, (16, 30)), (datetime(2031, 1, 1, 16, 30, tzinfo=UTC), (16, 30)),
        ("13 pm", None), ("24:10", None), ("16", None), ("", None), (3.0, None),
        ("16:30 or 17:00", None),
    ],
)  # fmt: skip
def test_times_as_people_write_them(cell, expected):
    assert time_in(cell) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [("Tue", 1), ("Samstag", 5), ("sábado", 5), ("mercredi", 2), ("lunedì", 0), ("Mo or Tu", None),
     ("", None), ("Maya", None)],
)  # fmt: skip
def test_weekdays_in_several_languages(text, expected):
    assert weekday_in(text) == expected


def test_headings_that_ask_are_headings_though_one_holds_a_figure():
    table = recognised(
        [
            ["Sent", "Your name", "E-mail", "If under 18: who is the parent or guardian?"],
            ["2026-02-16 15:48:07", "Ada Blom", "ada@example.org", ""],
            ["2026-02-17 09:02:55", "Bo Lind", "bo@example.org", "Eva Lind"],
        ]
    )
    assert table.fields == ("", "name", "email", "guardian")
    assert len(table.rows) == 2
