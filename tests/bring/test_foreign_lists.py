"""Lists of people by strangers, at first sight: each column, who is brought, what each row says."""

from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import RequestFactory

from coaching.bring import services, views
from coaching.bring.columns import recognised
from coaching.bring.rows import read_rows
from practice.importing.cells import text_of
from shared.kit.text import plain
from tests import factories
from tests.importing.judged import bare_text, content_of, of_folder

MEANS = {
    "full_name": "name", "first_name": "first_name", "last_name": "last_name", "email": "email",
    "phone": "phone", "guardian_name": "guardian", "guardian_email": "guardian_email",
    "guardian_phone": "guardian_phone", "weekday": "weekday", "time": "at",
    "weekday_and_time": "lesson", "coach": "coach", "aim": "aim", "birth_date": "born",
    "age": "age",
}  # fmt: skip
FOLDERS = ("seventh_hand", "eighth_hand")
# Laid out in another way than a person a row: their columns are not those of the list.
OTHERWISE = {"r01_german_timetable.csv", "r04_finnish_families.csv", "r05_polish_phonebook.txt"}
LISTS = [(folder, name) for folder in FOLDERS for name in of_folder(folder, "expected_people")]
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def table_of(folder, name):
    file = SimpleUploadedFile(name, content_of(folder, name))
    rows = views._rows(RequestFactory().post("/", {"file": file}))
    return recognised(rows)


@pytest.mark.parametrize(("folder", "name"), [each for each in LISTS if each[1] not in OTHERWISE])
def test_every_column_is_what_it_is(folder, name):
    columns = of_folder(folder, "expected_people")[name]["columns"]
    fields = table_of(folder, name).fields
    found = {each["header"]: fields[each["index"]] for each in columns}
    assert found == {each["header"]: MEANS.get(each["meaning"], "") for each in columns}


@pytest.mark.parametrize(("folder", "name"), LISTS)
def test_everybody_is_read_as_he_stands_and_nobody_else_is_brought(folder, name, db):
    truth = of_folder(folder, "expected_people")[name]
    table = table_of(folder, name)
    at = table.fields.index("coach") if "coach" in table.fields else None
    names = [] if at is None else [text_of(row[at]).removeprefix("Coach ") for row in table.rows]
    people = read_rows(table, {plain(each): each for each in names}, date(2026, 11, 30))
    studio = factories.studio_of(factories.make_coach())
    outcomes = services.outcomes(studio, people)
    # A child without a guardian's mail is known, and asked about.
    known = {
        each.person.name
        for each in outcomes
        if each.brings or each.words.startswith("Under 18: write")
    }
    assert len(known) == truth["expected_people"], [each.words for each in outcomes]
    for said in truth["first_three_people"]:
        wanted = said.get("full_name", "")
        if "," in wanted or not wanted:
            wanted = f"{said['first_name']} {said['last_name']}"
        person = next(each for each in people if bare_text(each.name) == bare_text(wanted))
        assert bare_text(person.email) == bare_text(said.get("email"))
        assert bare_text(person.guardian_email) == bare_text(said.get("guardian_email"))
        assert bare_text(person.guardian) == bare_text(said.get("guardian_name"))
        assert bare_text(person.aim) == bare_text(said.get("aim"))
        day, hour = said.get("slots", [f"{said.get('weekday')} {said.get('time')}"])[0].split()
        assert (f"{person.at:%H:%M}" if person.at else "None") == hour
        assert person.weekday is None or bare_text(day).startswith(DAYS[person.weekday])
