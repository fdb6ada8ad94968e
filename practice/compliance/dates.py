"""To which week a logged block belongs. Each counts once. Pure."""

from datetime import date, timedelta
from enum import StrEnum

WEEK = timedelta(days=7)


class Filed(StrEnum):
    """How a block came to its week; the same words as practice.log.models.Result.Filed."""

    IN_WEEK = "week"
    EARLY = "early"
    MAKE_UP = "makeup"
    UNPLANNED = "extra"


def first_week_of(day: date) -> date:
    """Opening of the first week in which work of this day, or of a later one, can stand.

    What is asked for by days is asked for by weeks too, which lie beside each other in an index:
    `file_result` puts nothing into a week that closed before the day before.
    """
    return day - WEEK


def file_result(
    *,
    day: date,
    opens: date,
    published_on: date | None,
    for_last_week: bool = False,
    next_lesson: date | None = None,
) -> tuple[date, Filed]:
    """File a block that was logged to a part of the week that opens on `opens`.

    Parameters
    ----------
    day : date
        The student's practice day.
    opens : date
        First of the seven days of the part's week.
    published_on : date or None
        Day on which that week was sent; None if it never was.
    for_last_week : bool, optional
        Marked 'for last week' by the student.
    next_lesson : date or None, optional
        The next lesson. One before the week opened is past and limits nothing.

    Returns
    -------
    (date, Filed)
        Opening of the week it belongs to, and how. Work on a day that earns nothing
        is filed UNPLANNED in the week the day itself is in.

    Notes
    -----
    House rule, not a published one. Before publication nothing counts. Between
    publication and opening it is an early start. On the one day after the week
    closes it is a make-up if marked, and not after the next lesson.
    """
    if published_on is not None and published_on <= day < opens:
        return opens, Filed.EARLY
    if published_on is not None and published_on <= day < opens + WEEK:
        return opens, Filed.IN_WEEK
    limited = next_lesson is not None and opens <= next_lesson < day
    # A week closes six days after it opens; the grace day is the one after.
    if published_on is not None and for_last_week and day == opens + WEEK and not limited:
        return opens, Filed.MAKE_UP
    return opens + WEEK * ((day - opens) // WEEK), Filed.UNPLANNED
