"""Editing adds; nothing that was asked or logged is rewritten."""

from practice.drills import queries, services
from practice.drills.models import DrillRevision
from practice.shelf.queries import Search, shelf
from practice.weeks.models import Part
from tests.factories import make_drill, make_part, make_user, make_week, studio_of

WORDING = {
    "name": "Ladder, new words",
    "area": "swing",
    "purpose": "Keep the move.",
    "dose": "12@40, 9@60",
}


def test_a_drill_that_was_assigned_keeps_the_words_it_was_assigned_with(student, coach):
    drill = make_drill(studio_of(coach), "Ladder", "10@50, 8@70, 6@90")
    part = make_part(make_week(student), drill)
    before = Part.objects.filter(pk=part.pk).values().get()
    first = DrillRevision.objects.filter(pk=part.revision_id).values().get()

    revision = services.write_revision(drill=drill, by=coach, wording=WORDING)

    assert revision.number == 2
    drill.refresh_from_db()
    assert drill.current == revision
    assert Part.objects.filter(pk=part.pk).values().get() == before
    assert DrillRevision.objects.filter(pk=part.revision_id).values().get() == first


def test_saving_the_same_words_writes_no_revision(coach):
    drill = services.make_drill(studio=studio_of(coach), by=coach, wording=WORDING)
    services.write_revision(drill=drill, by=coach, wording=WORDING)
    assert drill.revisions.count() == 1


def test_swaps_of_another_studio_are_not_taken(coach):
    from tests.factories import make_studio

    studio = studio_of(coach)
    drill, ours = make_drill(studio), make_drill(studio, "Ours")
    theirs = make_drill(make_studio("Elsewhere"), "Theirs")
    services.write_revision(
        drill=drill, by=coach, wording=WORDING, swaps=[ours.pk, theirs.pk, drill.pk]
    )
    assert list(drill.swaps.all()) == [ours]


def test_each_new_caution_is_the_next_version(coach):
    drill = make_drill(studio_of(coach))
    one = services.set_caution(drill=drill, by=coach, when="If stiff,", stop="stop.")
    two = services.set_caution(drill=drill, by=coach, when="If sore,", stop="stop.")
    assert (one.version, two.version) == (1, 2)
    assert queries.current_cautions([drill.pk]) == {drill.pk: [two]}


def test_the_same_words_ask_nobody_twice(coach):
    drill = make_drill(studio_of(coach))
    one = services.set_caution(drill=drill, by=coach, when="If stiff,", stop="stop.")
    assert services.set_caution(drill=drill, by=coach, when="If stiff,", stop="stop.") == one


def test_a_withdrawn_caution_is_gone_with_all_its_versions_and_kept_as_history(coach):
    drill = make_drill(studio_of(coach))
    services.set_caution(drill=drill, by=coach, when="If stiff,", stop="stop.")
    services.set_caution(drill=drill, by=coach, when="If sore,", stop="stop.")
    services.withdraw_caution(drill=drill)
    assert queries.current_cautions([drill.pk]) == {}
    assert [caution.version for caution in queries.cautions_of(drill)] == [2, 1]
    again = services.set_caution(drill=drill, by=coach, when="If sore,", stop="stop.")
    assert again.version == 3


def test_an_archived_drill_leaves_the_shelf_and_can_come_back(coach):
    studio = studio_of(coach)
    drill = make_drill(studio)
    services.archive(drill=drill)
    assert shelf(studio) == ([], False)
    assert len(shelf(studio, Search(archived=True))[0]) == 1
    services.bring_back(drill=drill)
    assert len(shelf(studio)[0]) == 1


def test_a_written_revision_names_its_writer(coach):
    drill = services.make_drill(studio=studio_of(coach), by=coach, wording=WORDING)
    other = make_user("Other")
    services.write_revision(drill=drill, by=other, wording=WORDING | {"cue": "slow"})
    writers = drill.revisions.order_by("number").values_list("written_by", flat=True)
    assert list(writers) == [coach.pk, other.pk]
