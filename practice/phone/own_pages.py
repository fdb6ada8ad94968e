"""The pages of one student's own, for whoever logs: what the phone leads to in one tap.

One list, so that a page cannot be there for the student and missing on the phone.
"""

from datetime import date
from typing import Any

from django.urls import reverse

from shared.people import coming_of_age
from shared.people.models import Student, User

NUMBERS, COACH, PLAN, PHONE = "Numbers", "Lessons and answers", "My plan", "This phone"
FAMILY = "My family"
FIRST_QUESTIONS = "intake:own"
OF_STUDENT = (
    ("What moved", "progress:own_moved", NUMBERS),
    ("Speed book", "progress:own_speed", NUMBERS),
    ("Wedge card", "progress:own_wedges", NUMBERS),
    ("Ladder", "progress:own_ladder", NUMBERS),
    ("Load", "progress:own_load", NUMBERS),
    ("From the lessons", "lessons:own", COACH),
    ("Notes and answers", "words:own", COACH),
    ("Reports", "reports:own", COACH),
    ("Clips", "clips:of_student", COACH),
    ("Season", "season:own_sheet", PLAN),
    ("Days and places", "season:days", PLAN),
    ("First questions", FIRST_QUESTIONS, PLAN),
    ("The week on paper", "log:paper", PLAN),
    ("Reminders", "reminders:of", PLAN),
    ("Lessons in my calendar", "timetable:own_calendar", PLAN),
)
OF_ANYBODY = (
    ("Devices", "log:devices"),
    ("Settings", "settings"),
    ("Forget me on this phone", "log:forget"),
    ("Sign out", "account_logout"),
)


def own_pages(
    student: Student, reader: User, opens: date, *, asks_first: bool = True
) -> list[dict[str, Any]]:
    """The pages in the order they are offered, each as its words, its address and what it is `of`.

    `opens` is the first day of the student's week; `asks_first`: whether the first questions
    are offered. No query.
    """
    is_own = student.user_id == reader.pk
    pages = [_counted(student, opens, is_own=is_own)]
    pages += [
        _page(words, name, student, of)
        for words, name, of in OF_STUDENT
        if asks_first or name != FIRST_QUESTIONS
    ]
    if is_own and coming_of_age.is_near(student):
        words = "When you are 18" if student.is_minor else "You are 18: make it yours"
        pages.append(_page(words, "grown_up", student, PLAN))
    if not is_own:
        pages.append(_page(f"Everything of {student.name}", "log:child", student, FAMILY))
        if student.is_minor:
            pages.append(_page("What you agreed to", "consents", student, FAMILY))
            pages.append(_page(f"A phone for {student.name}", "log:child_phones", student, FAMILY))
    return pages + [{"text": words, "at": reverse(name), "of": PHONE} for words, name in OF_ANYBODY]


def _counted(student: Student, opens: date, *, is_own: bool) -> dict[str, Any]:
    """A child's week has the child in its address: a guardian may have several."""
    name, args = ("log:counted", [opens]) if is_own else ("log:child_counted", [student.pk, opens])
    return {"text": "What counted", "at": reverse(name, args=args), "of": NUMBERS}


def _page(words: str, name: str, student: Student, of: str) -> dict[str, Any]:
    return {"text": words, "at": reverse(name, args=[student.pk]), "of": of}
