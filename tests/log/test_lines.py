import pytest

from practice.log.models import Line
from practice.log.services import write_line
from shared.kit.refused import Refused
from shared.people.models import Guardianship
from tests import factories


def test_a_line_is_kept(student, coach):
    line = write_line(student=student, author=coach, text="  Well done.  ")
    assert Line.objects.get() == line
    assert (line.text, line.author) == ("Well done.", coach)


@pytest.mark.parametrize("text", ["", "   ", "x" * 601, "a\x00b", "\ud800"])
def test_a_line_that_says_nothing_or_too_much_is_not(student, coach, text):
    with pytest.raises(Refused):
        write_line(student=student, author=coach, text=text)
    assert not Line.objects.exists()


def test_a_child_is_written_to_only_while_a_guardian_reads_along(coach):
    child = factories.make_child(coach)
    write_line(student=child, author=coach, text="Hello")
    for change in ({"consents_to_messages": False}, {"withdrawn_at": factories.NOON}):
        Guardianship.objects.update(**change)
        with pytest.raises(Refused, match="guardian"):
            write_line(student=child, author=coach, text="Hello")
    assert Line.objects.count() == 1


def test_a_guardian_who_cannot_sign_in_does_not_read(coach):
    guardian = factories.make_user("Morag", is_active=False)
    child = factories.make_child(coach, guardian)
    with pytest.raises(Refused):
        write_line(student=child, author=coach, text="Hello")
