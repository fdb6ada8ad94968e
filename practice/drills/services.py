"""Every write to the drill shelf."""

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from practice.drills.models import Caution, Drill, DrillRevision
from shared.people.models import Studio, User


@transaction.atomic
def make_drill(
    *,
    studio: Studio,
    by: User,
    wording: Mapping[str, Any],
    is_test: bool = False,
    swaps: Iterable[UUID] = (),
    tested_by: Drill | None = None,
) -> Drill:
    """Put a new drill on the shelf, with its first wording."""
    drill = Drill.objects.create(studio=studio, is_test=is_test)
    set_test(drill=drill, test=tested_by)
    write_revision(drill=drill, by=by, wording=wording, swaps=swaps)
    return drill


@transaction.atomic
def write_revision(
    *, drill: Drill, by: User, wording: Mapping[str, Any], swaps: Iterable[UUID] | None = None
) -> DrillRevision:
    """Make this the drill's wording from now on, as its next numbered revision.

    What was assigned or logged keeps the revision it was assigned with. Saving
    the same words again writes nothing. Swaps (None: leave them) must be drills
    of the same studio; others are not taken.
    """
    # The row alone is locked: PostgreSQL locks no outer join.
    held = Drill.objects.select_for_update(of=("self",)).select_related("current").get(pk=drill.pk)
    if swaps is not None:
        allowed = Drill.objects.filter(studio=held.studio_id, pk__in=swaps).exclude(pk=held.pk)
        held.swaps.set(allowed)
    revision = held.current
    if revision is None or _differs(revision, wording):
        number = revision.number + 1 if revision else 1
        revision = DrillRevision.objects.create(drill=held, number=number, written_by=by, **wording)
        Drill.objects.filter(pk=held.pk).update(current=revision)
    drill.current = revision
    return revision


def _differs(revision: DrillRevision, wording: Mapping[str, Any]) -> bool:
    return any(getattr(revision, name) != value for name, value in wording.items())


def set_test(*, drill: Drill, test: Drill | None) -> None:
    """Name the test that tells whether this drill works; None for none.

    A test of another studio, or a drill that is no test, is not taken; a test has none.
    """
    fits = test is not None and test.is_test and test.studio_id == drill.studio_id
    named = test if fits and not drill.is_test else None
    Drill.objects.filter(pk=drill.pk).update(tested_by=named)


def archive(*, drill: Drill) -> None:
    """Take the drill off the shelf. Weeks that ask for it keep it."""
    Drill.objects.filter(pk=drill.pk, archived_at=None).update(archived_at=timezone.now())


def bring_back(*, drill: Drill) -> None:
    Drill.objects.filter(pk=drill.pk).update(archived_at=None)


@transaction.atomic
def set_caution(*, drill: Drill, by: User, when: str, stop: str, who: str = "") -> Caution:
    """Put a caution on a drill, as the next version: everybody taps *Understood* again.

    It shows on every week with this drill, also on those already sent. The same
    words as the one that stands write nothing, so nobody is asked twice.
    """
    Drill.objects.select_for_update().get(pk=drill.pk)
    latest = drill.cautions.order_by("-version").first()
    words = (when, stop, who)
    if latest and not latest.withdrawn_at and (latest.when, latest.stop, latest.who) == words:
        return latest
    version = (drill.cautions.aggregate(last=Max("version"))["last"] or 0) + 1
    return Caution.objects.create(
        drill=drill, version=version, when=when, stop=stop, who=who, written_by=by
    )


@transaction.atomic
def withdraw_caution(*, drill: Drill) -> Caution | None:
    """No caution stands on the drill from now on. All versions are kept; returns the one that
    stood."""
    Drill.objects.select_for_update().get(pk=drill.pk)
    latest = drill.cautions.order_by("-version").first()
    stood = latest if latest and latest.withdrawn_at is None else None
    drill.cautions.filter(withdrawn_at=None).update(withdrawn_at=timezone.now())
    return stood


@transaction.atomic
def caution_stands_again(*, drill: Drill, caution_id: UUID) -> bool:
    """Whether the caution stands now: only the latest version can."""
    Drill.objects.select_for_update().get(pk=drill.pk)
    latest = drill.cautions.order_by("-version").first()
    if latest is None or latest.pk != caution_id:
        return False
    drill.cautions.filter(pk=caution_id).update(withdrawn_at=None)
    return True
