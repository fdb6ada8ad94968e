"""Addresses of a student's pages. Resolved once: a `{% url %}` a row costs more."""

from datetime import date
from functools import cached_property, lru_cache
from uuid import UUID

from django.urls import get_script_prefix, reverse

_ANYONE = UUID(int=0)
_ANY_DAY = date(2000, 1, 3)


def addresses() -> "Addresses":
    """Those under the path that this request came by."""
    return _under(get_script_prefix())


@lru_cache(maxsize=8)
def _under(_prefix: str) -> "Addresses":
    return Addresses()


class Addresses:
    """Every address with a stand-in for the student and the day, filled in per row."""

    @cached_property
    def _patterns(self) -> dict[str, str]:
        one = (
            "board:student",
            "board:worked_out",
            "board:care",
            "board:write_line",
            "board:row",
            "words:of_student",
            "plans:excuse",
            "plans:choose_week",
        )
        week = ("plans:set_week", "plans:shorten")
        return {name: reverse(name, args=[_ANYONE]) for name in one} | {
            name: reverse(name, args=[_ANYONE, _ANY_DAY]) for name in week
        }

    def _of(self, name: str, student: UUID | str, day: date | None = None) -> str:
        address = self._patterns[name].replace(str(_ANYONE), str(student))
        return address.replace(str(_ANY_DAY), str(day)) if day else address

    def student(self, student: UUID | str) -> str:
        return self._of("board:student", student)

    def row(self, student: UUID | str) -> str:
        """Its line on the board, opened."""
        return self._of("board:row", student)

    def open_to_write(self, student: UUID | str) -> str:
        return f"?open={student}&write=1#row-{student}"

    def words(self, student: UUID | str) -> str:
        return self._of("words:of_student", student)

    def worked_out(self, student: UUID | str) -> str:
        return self._of("board:worked_out", student)

    def care(self, student: UUID | str) -> str:
        return self._of("board:care", student)

    def write(self, student: UUID | str) -> str:
        return self._of("board:write_line", student)

    def excuse(self, student: UUID | str) -> str:
        return self._of("plans:excuse", student)

    def first_week(self, student: UUID | str) -> str:
        """Where none is set: this week's page, or the next one's when this is nearly over."""
        return self._of("plans:choose_week", student)

    def week(self, student: UUID | str, opens: date) -> str:
        return self._of("plans:set_week", student, opens)

    def shorter(self, student: UUID | str, opens: date) -> str:
        return self._of("plans:shorten", student, opens)
