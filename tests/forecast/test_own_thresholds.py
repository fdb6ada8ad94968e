"""The studio's borders: what nobody set is the default, and the database keeps sense."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from coaching.forecast.models import StudioThresholds
from coaching.forecast.own_thresholds import from_row, thresholds_of
from coaching.forecast.services import change_thresholds
from coaching.forecast.thresholds import Thresholds
from tests.factories import make_studio, studio_of


def test_a_studio_that_set_nothing_has_the_defaults(db):
    assert thresholds_of(make_studio().pk) == Thresholds()


def test_a_new_row_says_what_the_defaults_say():
    assert from_row(StudioThresholds()) == Thresholds()


def test_each_studio_has_its_own(db):
    ours, theirs = make_studio("Ours"), make_studio("Theirs")
    StudioThresholds.objects.create(studio=ours, quiet_days=6, in_step_percent=70)
    assert thresholds_of(ours.pk) == Thresholds(quiet_days=6, in_step_from=0.7)
    assert thresholds_of(theirs.pk) == Thresholds()


def test_tight_begins_below_in_step(db):
    row = StudioThresholds(studio=make_studio(), tight_percent=60, in_step_percent=60)
    with pytest.raises(ValidationError, match="Tight must begin below In step"):
        row.full_clean(exclude=["set_by"])
    with pytest.raises(IntegrityError):
        row.save()


OF_ALL = {
    "finish_percent": 55, "in_step_percent": 66, "tight_percent": 22, "weeks_needed": 5,
    "quiet_days": 6, "quiet_times": Decimal("1.7"), "jump_times": Decimal("1.8"), "jump_rise": 41,
    "jump_rise_under_16": 26, "first_ceiling": 61, "first_ceiling_under_16": 42,
    "cram_percent": 70, "cram_points": 35, "as_asked_percent": 95, "event_days": 9,
}  # fmt: skip


def test_each_line_goes_to_its_own_rule(db):
    studio = make_studio()
    StudioThresholds.objects.create(studio=studio, **OF_ALL)
    assert thresholds_of(studio.pk) == Thresholds(
        finish_share=0.55, in_step_from=0.66, tight_from=0.22, weeks_needed=5, quiet_days=6,
        quiet_times=1.7, jump_times=1.8, jump_rise=41, jump_rise_under_16=26, first_ceiling=61,
        first_ceiling_under_16=42, cram_share=0.7, cram_above_plan=0.35, as_asked_share=0.95,
        event_days=9,
    )  # fmt: skip


def test_what_stood_before_each_change_is_what_is_said_of_that_time(coach):
    studio, begun = studio_of(coach), datetime(2031, 2, 1, 12, tzinfo=UTC)
    changed = [begun + timedelta(days=n) for n in (1, 2, 3)]
    for at, values in zip(
        changed, ({"quiet_days": 5}, {"quiet_days": 5}, {"jump_times": Decimal("2.5")}), strict=True
    ):
        with time_machine.travel(at, tick=False):
            change_thresholds(studio=studio, by=coach, changed=values)
    row = StudioThresholds.objects.get()
    # The same again changed nothing.
    assert [each["until"] for each in row.before] == [
        changed[0].isoformat(),
        changed[2].isoformat(),
    ]
    assert (row.set_by, row.set_at) == (coach, changed[2])
    stood = {
        begun: Thresholds(),
        changed[0] - timedelta(seconds=1): Thresholds(),
        changed[0]: Thresholds(quiet_days=5),
        changed[2] - timedelta(seconds=1): Thresholds(quiet_days=5),
        changed[2]: Thresholds(quiet_days=5, jump_times=2.5),
    }
    assert {at: thresholds_of(studio.pk, at) for at in stood} == stood


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [("finish_percent", 50, 100), ("weeks_needed", 3, 8), ("quiet_times", 1, 5)],
)
def test_a_line_has_two_ends(db, name, least, most):
    row = StudioThresholds(studio=make_studio())
    for value in (least, most):
        setattr(row, name, value)
        row.full_clean(exclude=["set_by"])
    for value in (least - 1, most + 1):
        setattr(row, name, value)
        with pytest.raises(ValidationError, match=r"or (more|less)"):
            row.full_clean(exclude=["set_by"])
