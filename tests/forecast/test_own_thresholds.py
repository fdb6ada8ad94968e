"""The studio's borders: what nobody set is the default, and the database keeps sense."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from coaching.forecast.models import StudioThresholds
from coaching.forecast.own_thresholds import from_row, thresholds_of
from coaching.forecast.thresholds import Thresholds
from tests.factories import make_studio


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
