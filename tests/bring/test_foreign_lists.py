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
FOLDERS = ("seventh_hand",)
LISTS = [(folder, name) for folder in FOLDERS for name in of_folder(folder, "expected_people")]
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def table_of(folder, name):
    file = SimpleUploadedFile(name, content_of(folder, name))
    rows = views._rows(RequestFactory().post("/", {"file": file}))
    return recognised(rows)


@pytest.mark.parametrize(("folder", "name"), LISTS)
def test_every_column_is_what_it_is(folder, name):
    columns = of_folder(folder, "expected_people")[name]["columns"]
    fields = table_of(folder, name).fields
    found = {each["header"]: fields[each["index"]] for each in columns}
    assert found == {each["header"]: MEANS.get(each["meaning"], "") for each in columns}


@pytest.mark.parametrize(("folder", "name"), LISTS)
def test_everybody_is_read_as_he_stands_and_nobody_else_is_brought(folder, name, db):
    truth = of_folder(folder, "expected_people")[name]
    table = table_of(folder, name)
    at = table.fields.index("coach")
    coaches = {plain(text_of(row[at]).removeprefix("Coach ")): str(row[at]) for row in table.rows}
    people = read_rows(table, coaches, date(2026, 11, 30))
    studio = factories.studio_of(factories.make_coach())
    outcomes = services.outcomes(studio, people)
    assert [each.words for each in outcomes[truth["expected_people"] :] if each.brings] == []
    refused = [each.words for each in outcomes[: truth["expected_people"]] if not each.brings]
    assert [each for each in refused if not each.startswith("Under 18: write")] == []
    for person, said in zip(people, truth["first_three_people"], strict=False):
        wanted = said.get("full_name") or f"{said['first_name']} {said['last_name']}"
        if "," in wanted:
            wanted = f"{said['first_name']} {said['last_name']}"
        assert bare_text(person.name) == bare_text(wanted)
        assert bare_text(person.email) == bare_text(said.get("email"))
        assert bare_text(person.guardian_email) == bare_text(said.get("guardian_email"))
        assert bare_text(person.guardian) == bare_text(said.get("guardian_name"))
        assert bare_text(person.aim) == bare_text(said.get("aim"))
        assert f"{person.at:%H:%M}" == said["time"]
        assert bare_text(said["weekday"]).startswith(DAYS[person.weekday])
