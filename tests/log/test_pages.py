"""The pages without a script, the guardian's page, and what counted."""

import re
from datetime import timedelta

import pytest
from django.test import Client

from practice.care.models import Stop
from practice.drills.models import Caution
from practice.log.models import Entry, Result
from practice.log.services import write_line
from practice.weeks.models import Excusal, Part
from shared.people.models import Guardianship, Student
from tests import factories
from tests.conftest import signed_in
from tests.factories import MONDAY, NOON
from tests.log.entries import Phone, entry


def form_of(page, button):
    """The fields of the form that a button of the page belongs to, as a browser would send them."""
    text = page.content.decode()
    end = text.index(f'value="{button}"')
    start = text.rindex("<form", 0, end)
    form = text[start : text.index("</form>", start)]
    fields = dict(re.findall(r'<input[^>]*name="([^"]+)"[^>]*value="([^"]*)"', form))
    for name, options in re.findall(r'<select name="([^"]+)".*?>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options)
        fields[name] = (chosen or re.search(r'value="([^"]*)"', options))[1]
    unchecked = re.findall(r'<input type="checkbox" name="([^"]+)"', form)
    return {n: v for n, v in fields.items() if n not in unchecked} | {"do": button}


@pytest.fixture
def guardian(coach):
    return factories.make_user("Morag")


@pytest.fixture
def child(coach, guardian):
    return factories.make_child(coach, guardian, name="Callum", with_user=False)


# --- log it without a script ----------------------------------------------------------------


def test_a_part_is_logged_as_asked_by_one_button(student_client, part):
    page = student_client.get("/log/plain")
    answer = student_client.post("/log/plain", form_of(page, part.pk), follow=True)
    assert "Saved. Your coach has it." in answer.content.decode()
    result = Result.objects.get()
    assert ([step["n"] for step in result.steps], result.as_asked) == ([10, 8, 6], True)
    assert result.part == part
    assert Entry.objects.get().minutes == 15


def test_what_is_asked_is_said_in_words(student_client, part):
    assert part.dose == "10@50, 8@70, 6@90"
    page = student_client.get("/log/plain").content.decode()
    assert "10 reps at 50 percent, then 8 reps at 70 percent, then 6 reps at 90 percent" in page


def test_pressing_the_button_twice_counts_once(student_client, part):
    sent = form_of(student_client.get("/log/plain"), part.pk)
    for _ in range(2):
        assert student_client.post("/log/plain", sent).status_code == 302
    assert Entry.objects.count() == 1


def test_counts_and_words_are_taken_as_typed(student_client, part):
    sent = form_of(student_client.get("/log/plain"), part.pk)
    p = part.pk
    sent |= {f"{p}-n1": "5", f"{p}-c1": "4", f"{p}-note": "Wind", f"{p}-day": "2031-02-25"}
    student_client.post("/log/plain", sent)
    logged = Entry.objects.get()
    assert (logged.note, str(logged.day)) == ("Wind", "2031-02-25")
    result = Result.objects.get()
    assert result.steps[1] == {"n": 5, "clean": 4, "effort": None}
    assert not result.as_asked


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("n0", "-1"),
        ("n0", "1000"),
        ("c0", "11"),
        ("minutes", "x"),
        ("felt", "11"),
        ("day", "2040-01-01"),
    ],
)
def test_what_cannot_be_is_shown_again_with_what_was_typed(student_client, part, name, value):
    sent = form_of(student_client.get("/log/plain"), part.pk)
    sent |= {f"{part.pk}-{name}": value, f"{part.pk}-note": "kept words"}
    page = student_client.post("/log/plain", sent)
    assert page.status_code == 422
    assert "kept words" in page.content.decode()
    assert "not saved yet" in page.content.decode()
    assert not Entry.objects.exists()


def test_pain_is_thanked_for_and_the_part_stops(student_client, part):
    sent = form_of(student_client.get("/log/plain"), part.pk)
    sent |= {f"{part.pk}-pain_level": "6", f"{part.pk}-pain_where": "wrist"}
    page = student_client.post("/log/plain", sent, follow=True).content.decode()
    assert "Stop this part and all hard swings." in page
    assert Stop.objects.filter(drill=part.drill).exists()
    assert f'value="{part.pk}"' not in page  # No form while it has stopped.


def test_other_practice_is_one_line(student_client, student):
    sent = form_of(student_client.get("/log/plain"), "other")
    sent |= {"other-what": "round", "other-minutes": "200", "other-balls": "90"}
    student_client.post("/log/plain", sent)
    result = Result.objects.get()
    assert (result.what, result.balls, result.minutes) == ("round", 90, 200)


def test_a_session_is_taken_back(student_client, phone, student, part):
    one = entry(student, part)
    phone.receipt(one)
    sent = form_of(student_client.get("/log/plain"), "back")
    assert sent["target"] == one["id"]
    assert "Taken back." in student_client.post("/log/plain", sent, follow=True).content.decode()
    assert not Entry.objects.filter(counts=True).exists()


def test_days_away_are_said_and_taken_back(student_client, student, part):
    fields = form_of(student_client.get("/log/plain"), "away")
    fields |= {"away-last": "2031-02-28", "away-kind": "unwell"}
    page = student_client.post("/log/plain", fields, follow=True).content.decode()
    assert "Kept. Nothing is asked on these days." in page
    assert "Wed 26 Feb to Fri 28 Feb: nothing is asked." in page
    span = Excusal.objects.get()
    assert (span.kind, str(span.first), str(span.last)) == ("unwell", "2031-02-26", "2031-02-28")
    assert span.told_by == student.user
    student_client.post("/log/plain", fields)  # The button pressed twice.
    assert Excusal.objects.count() == 1
    fields = form_of(student_client.get("/log/plain"), "here")
    page = student_client.post("/log/plain", fields, follow=True).content.decode()
    assert "Taken back." in page
    assert Excusal.objects.get().withdrawn_at is not None
    assert "nothing is asked." not in page


@pytest.mark.parametrize(
    ("first", "last"),
    [
        ("2031-02-26", "2031-02-25"),
        ("2031-02-26", "2033-02-26"),
        ("2029-02-26", "2029-02-27"),
        ("never", "2031-02-27"),
        ("2031-02-26", ""),
    ],
)
def test_days_away_that_cannot_be_are_shown_again(student_client, part, first, last):
    fields = form_of(student_client.get("/log/plain"), "away")
    page = student_client.post("/log/plain", fields | {"away-first": first, "away-last": last})
    assert page.status_code == 422
    assert page.context["away"].errors
    assert f'value="{first}"' in page.content.decode()
    assert not Excusal.objects.exists()


def test_a_caution_is_understood(student_client, part):
    Caution.objects.create(drill=part.drill, when="If your back is stiff,", stop="skip it.")
    page = student_client.get("/log/plain")
    assert "If your back is stiff, skip it." in page.content.decode()
    student_client.post("/log/plain", form_of(page, "read"))
    assert "Understood" not in student_client.get("/log/plain").content.decode()


def test_last_weeks_part_is_logged_for_last_week(student_client, student):
    week = factories.make_week(student, MONDAY - timedelta(days=7))
    part = factories.make_part(week, factories.make_drill(student.studio))
    sent = form_of(student_client.get("/log/plain"), part.pk) | {f"{part.pk}-day": "2031-02-24"}
    student_client.post("/log/plain", sent)
    assert Result.objects.get().filed == Result.Filed.MAKE_UP


def test_a_part_that_has_gone_says_so(student_client, part):
    sent = form_of(student_client.get("/log/plain"), part.pk)
    Part.objects.filter(pk=part.pk).update(removed_at=factories.NOON)
    page = student_client.post("/log/plain", sent, follow=True)
    assert "Nothing was saved" in page.content.decode()


@pytest.mark.parametrize(
    "sent",
    [
        {"do": "back"},
        {"do": "back", "target": "x", "at": "x"},
        {"do": "read", "target": "\x00", "at": "2031-02-26T12:00:00Z"},
        {"do": "x"},
        {},
    ],
)
def test_a_form_that_is_none_of_ours_saves_nothing(student_client, sent):
    assert student_client.post("/log/plain", sent).status_code == 302
    assert not Entry.objects.exists()


def test_a_guardian_logs_for_the_child_and_is_shown(guardian, child):
    part = factories.make_part(factories.make_week(child), factories.make_drill(child.studio))
    client = signed_in(guardian)
    address = f"/log/plain?child={child.pk}"
    client.post(address, form_of(client.get(address), part.pk))
    assert Entry.objects.get().writer == guardian
    assert "written by Morag" in client.get(f"/child/{child.pk}/").content.decode()


def test_strangers_and_coaches_have_nothing_to_log(coach_client, student):
    for address in ("/log/plain", f"/log/plain?child={student.pk}"):
        assert coach_client.get(address).status_code == 404
    assert Client().get("/log/plain").status_code == 302


# --- the guardian's page ------------------------------------------------------------------------


def test_a_guardian_sees_the_week_every_line_care_and_entries(guardian, child, coach):
    part = factories.make_part(factories.make_week(child), factories.make_drill(child.studio))
    told = {"lvl": 5, "where": "left wrist", "signs": ["night"], "new": True, "p": str(part.pk)}
    Phone(child, guardian).receipt(entry(child, part, note="Windy", pain=told))
    write_line(student=child, author=coach, text="Rest the wrist, please.")
    page = signed_in(guardian).get(f"/child/{child.pk}/").content.decode()
    for words in (
        "Ladder",
        "Windy",
        "left wrist 5 of 10",
        "hurts at night",
        "Rest the wrist",
        "stopped since",
    ):
        assert words in page


@pytest.mark.parametrize(("days", "words"), [(1, "tomorrow"), (9, "Fri 7 Mar"), (-1, "")])
def test_a_guardian_reads_when_the_next_lesson_is(guardian, child, days, words):
    Student.objects.filter(pk=child.pk).update(next_lesson=NOON.date() + timedelta(days=days))
    page = signed_in(guardian).get(f"/child/{child.pk}/").content.decode()
    assert ("Next lesson" in page) is bool(words)
    assert not words or f"Next lesson {words}." in page


def test_only_a_guardian_sees_the_child(guardian, child, coach_client, student_client):
    address = f"/child/{child.pk}/"
    assert coach_client.get(address).status_code == 404
    assert student_client.get(address).status_code == 404
    assert Client().get(address).status_code == 302
    assert signed_in(factories.make_user("Stranger")).get(address).status_code == 404
    Guardianship.objects.update(withdrawn_at=factories.NOON)  # What was kept stays readable.
    assert signed_in(guardian).get(address).status_code == 200
    Guardianship.objects.update(ended_at=factories.NOON)
    assert signed_in(guardian).get(address).status_code == 404


@pytest.mark.parametrize("many", [1, 40])
def test_the_childs_page_is_bounded_and_asks_no_more(
    guardian, child, many, django_assert_max_num_queries
):
    part = factories.make_part(factories.make_week(child), factories.make_drill(child.studio))
    phone = Phone(child, guardian)
    phone.receipts(*[entry(child, part, note=f"note {n}.") for n in range(many)])
    client = signed_in(guardian)
    client.get("/api/key")  # The session itself.
    with django_assert_max_num_queries(25):
        page = client.get(f"/child/{child.pk}/").content.decode()
    assert page.count("“note") == min(many, 7)
    assert ("Older" in page) is (many > 7)
    second = client.get(f"/child/{child.pk}/?page=1").content.decode()
    assert second.count("“note") == min(7, max(0, many - 7))


@pytest.mark.parametrize("page", ["x", "-1", "99999", "٣", "\x00"])
def test_a_page_number_that_is_none_is_the_first(guardian, child, page):
    assert signed_in(guardian).get(f"/child/{child.pk}/", {"page": page}).status_code == 200


def test_what_was_told_as_asked_was_not_counted_clean(guardian, child):
    """The ladder judges none of it either."""
    part = factories.make_part(factories.make_week(child), factories.make_drill(child.studio))
    phone = Phone(child, guardian)
    steps = [{"n": n, "c": n, "e": effort} for n, effort in ((10, 50), (8, 70), (6, 90))]
    phone.receipt(entry(child, b=[{"p": str(part.pk), "as": True, "s": steps}]))
    page = signed_in(guardian).get(f"/child/{child.pk}/").content.decode()
    assert "10 done at 50 %, 8 done at 70 %, 6 done at 90 % · as asked" in page
    assert "clean" not in page


# --- what counted ------------------------------------------------------------------------------


def test_every_figure_opens_to_its_arithmetic(student_client, phone, student, part):
    # House rule (common practice, no source), worked by hand: asked four times, 66 of 96 count.
    Part.objects.filter(pk=part.pk).update(sessions=4, sessions_asked=4)
    days = {"2031-02-24": (10, 8, 6), "2031-02-25": (10, 8, 0), "2031-02-26": (10, 8, 6)}
    for day, counts in days.items():
        steps = [{"n": n, "c": None, "e": None} for n in counts]
        phone.receipt(entry(student, day=day, b=[{"p": str(part.pk), "s": steps}]))
    page = student_client.get(f"/log/counted/{MONDAY}").content.decode()
    assert "68 %" in page  # 66 / 96 = 68.75 %, rounded down.
    assert "66 counted of 96 asked" in page
    assert "one and a half times the dose" in page


def test_a_guardian_opens_the_childs_figures(guardian, child):
    part = factories.make_part(factories.make_week(child), factories.make_drill(child.studio))
    Phone(child, guardian).receipt(entry(child, part))
    client = signed_in(guardian)
    assert client.get(f"/child/{child.pk}/counted/{MONDAY}").status_code == 200


def test_figures_of_others_and_of_no_week_are_not_there(student_client, child, student):
    for address in (
        f"/child/{child.pk}/counted/{MONDAY}",
        f"/log/counted/{MONDAY}",
        "/log/counted/x",
        "/log/counted/2031-02-30",
    ):
        assert student_client.get(address).status_code == 404


# --- the phone's own files ---------------------------------------------------------------------


def test_the_phones_files_are_the_same_for_everybody(student_client, db):
    for address in ("/log", "/sw.js", "/log/app.webmanifest"):
        mine, anybodys = student_client.get(address), Client().get(address)
        assert mine.status_code == 200
        assert mine.content == anybodys.content
        assert mine["Cache-Control"] == "no-cache"
        assert "Set-Cookie" not in mine
    assert "script-src 'sha256-" in Client().get("/log")["Content-Security-Policy"]
    assert Client().get("/sw.js")["Content-Type"].startswith("text/javascript")
