"""What a student may not do now, first on a page: whoever knows events and the gym words it."""

from collections.abc import Callable

from shared.people.models import Student, User

# For templates/board/_limits.html. One adds itself when the site starts.
sayers: list[Callable[[User, Student], object]] = []


def limits_first(reader: User, student: Student) -> object:
    """What stands at the top of a page on which something is chosen for this student."""
    return next((say(reader, student) for say in sayers), None)
