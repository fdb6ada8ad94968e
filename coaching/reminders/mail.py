"""A notice as a mail: plain text and the same in simple HTML, built right before sending."""

from datetime import date, timedelta

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.core.signing import BadSignature, SignatureExpired, dumps, loads
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from coaching.board.queries import everybody
from coaching.lesson_day.next_up import lesson_lines
from coaching.reminders import facts, text
from coaching.reminders.chance import UNHEARD
from coaching.reminders.due import OF_THE_COACH, ReminderKind, local_day
from coaching.reminders.if_then import sentence
from coaching.reminders.models import Notice
from coaching.reminders.services import rule_of
from coaching.reminders.text import Letter, PartWords
from coaching.reminders.written import Item, tell
from practice.compliance.models import WeekTally
from practice.phone.links import week_link
from practice.weeks.models import Part
from practice.weeks.places import place_words
from practice.weeks.queries import standing_parts, week_of
from shared.kit.weeks import week_start
from shared.outbox.send import NothingToSay
from shared.people import access, undelivered
from shared.people.invitation_mail import sender
from shared.people.models import Student, User

SALT = "coaching.reminders.stop"
# Longer than anybody keeps a reminder, and than laws on mailing ask for.
STOP_GOOD_FOR = timedelta(days=60)
SUMMARY_ROWS = 12
LONGEST_SUBJECT = 120
# What the student meant to do, beside what is asked.
BEFORE_PRACTICE = (ReminderKind.PRACTICE_CALL, ReminderKind.MIDWEEK_OFFER)


class StopOver(Exception):
    """The link that stopped these mails has run out."""


def build(notice: Notice) -> EmailMultiAlternatives:
    """The whole mail. Raises NothingToSay, or ValueError for an address no mail can go to."""
    if not notice.recipient.has_mail:
        raise NothingToSay("no phone took it, and there is no mail address")
    if undelivered.stops(notice.recipient.email):
        raise NothingToSay("mails to this address did not arrive")
    letter, link = letter_of(notice)
    stop = stop_link(notice) if not letter.must else ""
    studio = notice.student.studio.name if notice.student else ""
    filling = {"letter": letter, "link": link, "stop": stop, "studio": studio}
    message = EmailMultiAlternatives(
        subject_of(letter),
        render_to_string("reminders/mail/letter.txt", filling),
        sender(letter.by, studio),
        to=[notice.recipient.email],
        headers=_headers(notice, stop),
    )
    message.attach_alternative(render_to_string("reminders/mail/letter.html", filling), "text/html")
    message.message()  # A bad header or address is found out now, not while sending.
    return message


def subject_of(letter: Letter) -> str:
    return " ".join(letter.subject.split())[:LONGEST_SUBJECT]


def _headers(notice: Notice, stop: str) -> dict[str, str]:
    """The same Message-ID on every copy; one-click ending as RFC 8058 has it."""
    headers = {"Message-ID": notice.message_id, "Auto-Submitted": "auto-generated"}
    if stop:
        headers["List-Unsubscribe"] = f"<{stop}>"
        headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return headers


def stop_link(notice: Notice) -> str:
    student = str(notice.student_id) if notice.student_id else ""
    token = dumps([str(notice.recipient_id), student], salt=SALT)
    return settings.SITE_URL + reverse("reminders:stop", args=[token])


def read_stop_link(token: str) -> tuple[User, Student | None] | None:
    """Whom a link stops, and about whom; None if it is none of ours. Raises StopOver."""
    try:
        user_id, student_id = loads(token, salt=SALT, max_age=STOP_GOOD_FOR)
    except SignatureExpired as error:
        raise StopOver from error
    except BadSignature:
        return None
    user = User.objects.filter(pk=user_id).first()
    student = Student.objects.filter(pk=student_id).first() if student_id else None
    if user is None or (student_id and student is None):
        return None
    return user, student


def letter_of(notice: Notice) -> tuple[Letter, str]:
    kind = ReminderKind(notice.kind)
    if kind is ReminderKind.COACH_MONDAY:
        return _summary(notice.recipient), settings.SITE_URL + reverse("board:who")
    if kind is ReminderKind.COACH_EVENING:
        tomorrow = notice.local_day + timedelta(days=1)
        letter = text.coach_evening(lesson_lines(notice.recipient, tomorrow, timezone.now()))
        return letter, settings.SITE_URL + reverse("lessons:next_up")
    student = notice.student
    if student is None:
        raise NothingToSay
    if kind is ReminderKind.PAIN_TOLD:
        return _pain(notice.recipient, student)
    return _practice(notice, student, kind)


def _pain(reader: User, student: Student) -> tuple[Letter, str]:
    if access.children_of(reader).filter(pk=student.pk).exists():
        page = reverse("log:child", args=[student.pk])
        return text.pain_told_to_guardian(_first_name(student)), settings.SITE_URL + page
    page = reverse("board:care", args=[student.pk])
    return text.pain_told_to_coach(student.name), settings.SITE_URL + page


def _practice(notice: Notice, student: Student, kind: ReminderKind) -> tuple[Letter, str]:
    day = notice.local_day
    opens = week_start(day, student.studio.first_weekday)
    child = "" if notice.recipient_id == student.user_id else _first_name(student)
    items = tell(notice)
    if kind in OF_THE_COACH:
        if not items:
            raise NothingToSay
        letter = text.from_the_coach(items, child=child)
        if {item.what for item in items} == {"change"}:
            return letter, week_link(student, opens, notice.recipient)
        return letter, settings.SITE_URL + page_of(items, student)
    if kind is ReminderKind.NEW_WEEK:
        week = facts.new_week_of(student, day, notice.recipient)
        live = week_of(student, week.opens) if week else None
        if week is None or live is None:
            raise NothingToSay
        parts = [_words(part) for part in standing_parts(live)]
        opens = week.opens
        letter = text.new_week(opens, week.note, parts, child=child)
    else:
        letter = _of_the_day(student, kind, day, child)
        if kind in BEFORE_PRACTICE:
            letter = text.with_plan(letter, sentence(rule_of(student).plan))
    letter = text.with_written(letter, items, child=child)
    if kind is ReminderKind.CALLS_STOP:
        return letter, settings.SITE_URL + reverse("reminders:of", args=[student.pk])
    return letter, week_link(student, opens, notice.recipient)


def page_of(items: list[Item], student: Student) -> str:
    """Where all of it can be read; a single report or clips have their own page."""
    if {item.what for item in items} == {"report"} and len(items) == 1:
        return reverse("reports:show", args=[items[0].id])
    if {item.what for item in items} == {"clip"}:
        return reverse("clips:of_student", args=[student.pk])
    return reverse("words:own", args=[student.pk])


def _of_the_day(student: Student, kind: ReminderKind, day: date, child: str) -> Letter:
    if kind is ReminderKind.LESSON_TOMORROW:
        return text.lesson_tomorrow(child=child)
    if kind is ReminderKind.CALLS_STOP:
        return text.calls_stop(UNHEARD, child=child)
    if kind is ReminderKind.TEST_TOMORROW:
        return _test(student, day + timedelta(days=1), child)
    opens = week_start(day, student.studio.first_weekday)
    left = facts.left_parts(student, opens)
    today = [part for part in left if facts.is_for(part, (day - opens).days)]
    first = next(iter(today or left), None)
    if first is None:
        raise NothingToSay
    if kind is ReminderKind.PRACTICE_CALL:
        return text.practice_call(_words(first, (day - opens).days), child=child)
    visits = facts.visits_left(student, opens, left)
    return text.midweek_offer(_words(first), visits_left=visits, child=child)


def _test(student: Student, day: date, child: str) -> Letter:
    opens = week_start(day, student.studio.first_weekday)
    tests = [part for part in facts.left_parts(student, opens) if part.drill.is_test]
    names = [part.revision.name for part in tests if (day - opens).days in part.days]
    if not names:
        raise NothingToSay
    return text.test_tomorrow(names[0], child=child)


def _words(part: Part, offset: int | None = None) -> PartWords:
    """`offset`: the day of the week that is meant, where one is."""
    cue = part.cue or part.revision.cue
    where = place_words(part.places.get(str(offset), ""))
    return PartWords(part.priority, part.minutes, part.revision.name, cue, where)


def _first_name(student: Student) -> str:
    return student.name.split(" ")[0]


def _summary(user: User) -> Letter:
    """Where everybody stands, by the board's own order; health stays on the page."""
    now = timezone.now()
    lines = [
        f"{each.name}: {'something hurts, see the page' if said.is_care else said.reason}"
        for each, said in everybody(user, now)
    ]
    more = len(lines) - SUMMARY_ROWS
    kept = lines[:SUMMARY_ROWS] + ([f"and {more} more"] if more > 0 else [])
    return text.coach_monday(kept, _last_week(user))


def _last_week(user: User) -> str:
    studio = access.studios_of(user).earliest("created_at")
    today = local_day(timezone.now(), user.time_zone)
    opens = week_start(today, studio.first_weekday) - timedelta(days=7)
    tallies = WeekTally.objects.filter(
        student__in=access.students_taught_by(user), opens=opens, has_plan=True
    )
    asked, done = tallies.count(), tallies.filter(finished=True).count()
    return f"Last week {asked} students had a week, and {done} finished it." if asked else ""
