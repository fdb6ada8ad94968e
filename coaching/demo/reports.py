"""Reports that the demo's coach has sent, by the commands of the page."""

from datetime import date, timedelta

from coaching.reports import services
from shared.people.access import Recordable

COVERS = timedelta(days=55)
WORDS = {
    "Ravindu Peshala": (
        "You stay on the ball now, and it shows up to felt 80. Keep the gate where it is. "
        "In the new year we take the same turn to the course."
    ),
    "Ines Calderao": (
        "Your everyday speed is up, and it has held. You did it with two sets a week and rest "
        "between. Wedges come next."
    ),
}


def load_reports(student: Recordable, today: date) -> None:
    """Eight weeks, with a paragraph of the coach's own."""
    words = WORDS.get(student.name)
    if words is None:
        return
    coach = student.lead_coach
    report = services.draft(student=student, by=coach, first=today - COVERS, last=today)
    services.keep_words(report=report, words=words)
    services.send(report=report, by=coach, has_read=True)
