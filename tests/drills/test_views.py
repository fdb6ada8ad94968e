"""The shelf's pages: read by all who teach, written by owners and coaches, nobody else's."""

from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse

from practice.drills import services
from practice.drills.models import Drill
from practice.drills.shipped import stock_shelf
from practice.weeks.queries import this_opening
from shared.people.models import Membership
from tests.conftest import signed_in
from tests.factories import (
    make_coach,
    make_drill,
    make_part,
    make_student,
    make_studio,
    make_week,
    studio_of,
)

FORM = {
    "name": "Towel under the arm",
    "area": "swing",
    "purpose": "Keep arm and chest together.",
    "dose": "12@40, 9@60",
    "seconds_per_rep": "30",
    "clean_line": "80",
    "needs_ball": "on",
}


@pytest.fixture
def drill(coach) -> Drill:
    return make_drill(studio_of(coach))


def url(name, drill):
    return reverse(f"drills:{name}", args=[drill.pk])


def test_the_shelf_lists_what_ships(coach, coach_client):
    stock_shelf(studio_of(coach), None)
    page = coach_client.get(reverse("drills:shelf"), {"words": "putting"})
    assert b"Putting gate and ladder" in page.content
    assert b"Speed set" not in page.content


def test_a_page_shows_every_wording_there_was(coach, coach_client, drill):
    services.write_revision(drill=drill, by=coach, wording={"name": "New", "dose": "3x7"})
    assert b"New" in coach_client.get(url("show", drill)).content
    earlier = coach_client.get(url("show", drill), {"revision": "1"}).content
    assert b"10@50, 8@70, 6@90" in earlier
    assert b"An earlier wording" in earlier
    assert coach_client.get(url("show", drill), {"revision": "9"}).status_code == 404


def test_a_coach_writes_a_drill(coach, coach_client, drill):
    form = FORM | {"swaps": [str(drill.pk)], "short_form": "9 @ 40 %"}
    page = coach_client.post(reverse("drills:new"), form)
    made = Drill.objects.get(current__name="Towel under the arm")
    assert page.url == url("show", made)
    assert made.current.short_form == "9@40"
    assert list(made.swaps.all()) == [drill]


def test_a_change_is_the_next_revision(coach_client, drill):
    coach_client.post(url("edit", drill), FORM)
    drill.refresh_from_db()
    assert (drill.current.number, drill.current.name) == (2, "Towel under the arm")
    assert drill.revisions.count() == 2


def test_saving_the_form_as_it_opens_changes_nothing(coach, coach_client):
    stock_shelf(studio_of(coach), None)
    drill = Drill.objects.get(shipped_as="effort-ladder")
    form = coach_client.get(url("edit", drill)).context["form"]
    typed = {name: form[name].value() for name in form.fields}
    sent = {name: value for name, value in typed.items() if value not in (None, False)}
    assert coach_client.post(url("edit", drill), sent).status_code == 302
    assert drill.revisions.count() == 1
    assert drill.swaps.count() == 2


def test_a_wrong_dose_marks_the_word_and_keeps_what_was_typed(coach_client, drill):
    page = coach_client.post(url("edit", drill), FORM | {"dose": "12@40, 9@6O"})
    html = page.content.decode()
    assert '<span class="typed">12@40, <mark>9@6O</mark></span>' in html
    assert 'id="id_dose_error"' in html
    assert 'aria-describedby="id_dose_helptext id_dose_error"' in html
    assert 'value="12@40, 9@6O"' in html
    assert drill.revisions.count() == 1


def test_what_is_measured_its_targets_and_rest_are_written(coach_client, drill):
    fields = {"measures": "carry", "targets": "65, 40 yd", "rest_seconds": "45"}
    assert coach_client.post(url("edit", drill), FORM | fields).status_code == 302
    wording = drill.revisions.latest("number")
    assert (wording.measures, wording.targets, wording.rest_seconds) == ("carry", "65, 40 yd", 45)
    html = coach_client.get(url("show", drill)).content.decode()
    assert "Measured ball by ball: carry." in html
    assert "Targets in this order: 65, 40 yd." in html
    assert "At least 45 seconds of rest between balls." in html


@pytest.mark.parametrize("measures", ["", "club_speed"])
def test_targets_without_a_carry_are_said(coach_client, drill, measures):
    fields = {"measures": measures, "targets": "65, 40 m"}
    html = coach_client.post(url("edit", drill), FORM | fields).content.decode()
    assert "Targets are distances: choose carry as what is measured." in html
    assert drill.revisions.count() == 1


def test_targets_that_cannot_be_read_are_said_and_kept(coach_client, drill):
    page = coach_client.post(url("edit", drill), FORM | {"targets": "40, far"})
    html = page.content.decode()
    assert "“far” is not a distance." in html
    assert 'value="40, far"' in html
    assert drill.revisions.count() == 1


def test_what_was_typed_in_a_dose_is_never_markup(coach_client, drill):
    page = coach_client.post(url("edit", drill), FORM | {"dose": "12@40, <script>x"})
    assert b"<script>x" not in page.content


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("dose", ""),
        ("dose", "9" * 201),
        ("name", ""),
        ("area", "moon"),
        ("seconds_per_rep", "0"),
        ("seconds_per_rep", "-3"),
        ("clean_line", "101"),
        ("min_age", "-1"),
        ("swaps", "not an id"),
    ],
)
def test_a_bad_field_is_shown_and_nothing_is_kept(coach_client, drill, field, bad):
    page = coach_client.post(url("edit", drill), FORM | {field: bad})
    assert page.context["form"].errors[field]
    assert drill.revisions.count() == 1


def test_a_caution_is_put_up_changed_and_withdrawn(coach_client, drill):
    words = {"when": "If your back is stiff,", "stop": "skip the turns.", "who": "Tell us."}
    coach_client.post(url("caution", drill), words)
    coach_client.post(url("caution", drill), words | {"who": "Your coach will look."})
    assert "Caution</h2>" in coach_client.get(url("show", drill)).content.decode()
    coach_client.post(url("withdraw_caution", drill))
    assert "Caution</h2>" not in coach_client.get(url("show", drill)).content.decode()


def test_a_caution_of_26_words_is_refused(coach_client, drill):
    words = {"when": "one " * 10, "stop": "two " * 10, "who": "three " * 6}
    page = coach_client.post(url("caution", drill), words)
    assert "These are 26 words" in page.content.decode()
    assert not drill.cautions.exists()


def test_a_drill_is_put_away_and_brought_back(coach_client, drill):
    def listed(**search):
        page = coach_client.get(reverse("drills:shelf"), search)
        return [row.drill_id for row in page.context["rows"]]

    coach_client.post(url("archive", drill))
    assert (listed(), listed(archived="1")) == ([], [drill.pk])
    coach_client.post(url("bring_back", drill))
    assert (listed(), listed(archived="1")) == ([drill.pk], [])


@pytest.mark.parametrize("at", ["2031-03-03 00:30", "2031-03-03 12:00", "2031-03-09 23:30"])
def test_put_away_it_says_whose_week_keeps_it(coach, drill, time_machine, at):
    """Past weeks and drafts are not named, also while a Monday's night still is their Sunday."""
    time_machine.move_to(datetime.fromisoformat(at).replace(tzinfo=UTC), tick=False)
    now = this_opening(make_student(coach, "Nobody Now"))
    for name, opens, sent in (
        ("Ann Asked", now, True),
        ("Ben Before", now - timedelta(14), True),
        ("Dan Draft", now, False),
    ):
        make_part(make_week(make_student(coach, name), opens, sent=sent), drill)
    page = signed_in(coach).post(url("archive", drill), follow=True)
    (told,) = map(str, page.context["messages"])
    assert "It stays in the week of Ann Asked" in told
    assert not {"Ben", "Dan"} & set(told.replace(",", " ").split())


def test_a_name_that_exists_is_refused_with_the_way_to_it(coach_client, drill):
    page = coach_client.post(
        reverse("drills:new"), FORM | {"name": f" {drill.current.name.upper()} "}
    )
    body = page.content.decode()
    assert "exists already: change that one, or give this one another name." in body
    assert url("show", drill) in body
    assert Drill.objects.count() == 1
    coach_client.post(url("archive", drill))
    page = coach_client.post(reverse("drills:new"), FORM | {"name": drill.current.name})
    assert "bring it back" in page.content.decode()


def test_a_drill_keeps_its_own_name_when_it_is_changed(coach_client, drill):
    page = coach_client.post(url("edit", drill), FORM | {"name": drill.current.name})
    assert page.status_code == 302


def test_a_dose_is_read_back_in_words(coach_client):
    page = coach_client.get(reverse("drills:read_dose"), {"text": "2x6@95, 4 min", "pace": "30"})
    assert page.json() == {
        "ok": True,
        "said": "2 sets of 6 reps at 95 percent, then 4 minutes."
        " In all 12 reps, 12 of them hard; about 10 minutes.",
    }
    page = coach_client.get(reverse("drills:read_dose"), {"text": "2x6@95, four min"})
    assert page.json()["ok"] is False
    assert "“four”" in page.json()["said"]


READ = ["show"]
WRITE = ["edit", "caution"]
POSTED = ["edit", "archive", "bring_back", "caution", "withdraw_caution"]


def test_an_assistant_reads_and_does_not_write(coach, drill):
    client = signed_in(make_coach(studio_of(coach), Membership.Role.ASSISTANT))
    page = client.get(url("show", drill))
    assert page.status_code == 200
    assert b"Change it" not in page.content
    assert client.get(reverse("drills:shelf")).status_code == 200
    assert [client.get(url(name, drill)).status_code for name in WRITE] == [404, 404]
    assert {client.post(url(name, drill), FORM).status_code for name in POSTED} == {404}
    assert client.get(reverse("drills:new")).status_code == 404
    assert drill.revisions.count() == 1


def test_an_owner_writes(coach, drill):
    client = signed_in(make_coach(studio_of(coach), Membership.Role.OWNER))
    assert client.post(url("edit", drill), FORM).status_code == 302


def test_a_coach_of_another_studio_sees_no_such_drill(drill):
    client = signed_in(make_coach(make_studio("Elsewhere")))
    assert {client.get(url(name, drill)).status_code for name in READ + WRITE} == {404}
    assert {client.post(url(name, drill), FORM).status_code for name in POSTED} == {404}
    assert b"Ladder" not in client.get(reverse("drills:shelf")).content


def test_a_student_sees_no_shelf(student_client, drill):
    assert student_client.get(reverse("drills:shelf")).status_code == 404
    assert student_client.get(url("show", drill)).status_code == 404
    assert student_client.get(reverse("drills:read_dose"), {"text": "3x8"}).status_code == 404


def test_nobody_signed_in_is_led_to_signing_in(client, drill):
    for address in (reverse("drills:shelf"), url("show", drill), url("edit", drill)):
        assert client.get(address).status_code == 302


@pytest.mark.parametrize("page", ["-1", "x", "٣", "99999999999"])
def test_an_odd_page_number_is_no_error(coach_client, drill, page):
    assert coach_client.get(reverse("drills:shelf"), {"page": page}).status_code == 200


@pytest.mark.parametrize("times", [1, 40])
def test_a_drills_page_costs_the_same_whatever_its_history(
    coach, coach_client, drill, times, django_assert_num_queries
):
    for number in range(times):
        services.write_revision(drill=drill, by=coach, wording={"name": f"Name {number}"})
        services.set_caution(drill=drill, by=coach, when=f"If {number},", stop="stop.")
    # Sign-in with roles 1 and drill 1; wording, editions, cautions, swaps, use 1;
    # notes to answer, in the frame.
    with django_assert_num_queries(8):
        coach_client.get(url("show", drill))
