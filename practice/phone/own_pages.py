"""The pages of one student's own, for whoever logs: what the phone leads to in one tap.

One list, so that a page cannot be there for the student and missing on the phone.
"""

from datetime import date
from typing import Any

from django.urls import reverse

from shared.people import coming_of_age
from shared.people.models import Student, User

OF_STUDENT = (
    ("What moved", "progress:own_moved"),
    ("Speed book", "progress:own_speed"),
    ("Wedge card", "progress:own_wedges"),
    ("Ladder", "progress:own_ladder"),
    ("Load", "progress:own_load"),
    ("From the lessons", "lessons:own"),
    ("Words", "words:own"),
    ("Reports", "reports:own"),
    ("Clips", "clips:of_student"),
    ("Season", "season:own_sheet"),
    ("Days and places", "season:days"),
    ("First questions", "intake:own"),
    ("The week on paper", "log:paper"),
    ("Reminders", "reminders:of"),
    ("Lessons in my calendar", "timetable:own_calendar"),
)
OF_ANYBODY = (
    ("Devices", "log:devices"),
    ("Settings", "settings"),
    ("Forget me on this phone", "log:forget"),
    ("Sign out", "account_logout"),
)


def own_pages(student: Student, reader: User, opens: date) -> list[dict[str, Any]]:
    """The pages in the order they are offered, each as its words and its address.

    `opens` is the first day of the student's week. No query.
    """
    is_own = student.user_id == reader.pk
    pages = [_counted(student, opens, is_own=is_own)]
    pages += [_page(words, name, student) for words, name in OF_STUDENT]
    if is_own and coming_of_age.is_near(student):
        words = "When you are 18" if student.is_minor else "You are 18: make it yours"
        pages.append(_page(words, "grown_up", student))
    if not is_own:
        pages.append(_page(f"Everything of {student.name}", "log:child", student))
        if student.is_minor:
            pages.append(_page("What you agreed to", "consents", student))
            pages.append(_page(f"A phone for {student.name}", "log:child_phones", student))
    return pages + [{"text": words, "at": reverse(name)} for words, name in OF_ANYBODY]


def _counted(student: Student, opens: date, *, is_own: bool) -> dict[str, Any]:
    """A child's week has the child in its address: a guardian may have several."""
    name, args = ("log:counted", [opens]) if is_own else ("log:child_counted", [student.pk, opens])
    return {"text": "What counted", "at": reverse(name, args=args)}


def _page(words: str, name: str, student: Student) -> dict[str, Any]:
    return {"text": words, "at": reverse(name, args=[student.pk])}
