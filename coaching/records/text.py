"""What the files of a person's copy hold, in words. Pure."""

TITLES = {
    "student": "your place: name, clock, aim, dates",
    "student_shared": "since when a strength coach reads your days in the gym",
    "student_was": "what your place said before a change",
    "guardianship": "who answers for a child here, and what they agreed to",
    "consent_change": "every answer about consent",
    "invitation": "how you were asked in",
    "user": "your sign-in: name, address, units",
    "address": "your addresses",
    "passkey": "your passkeys, without what opens them",
    "session": "where you are signed in",
    "account_mail": "mails that let you in: to whom and when",
    "undelivered": "that mails did not reach your address",
    "week": "weeks that were set",
    "part": "the parts of each week",
    "excusal": "days on which nothing was asked",
    "log_key": "phones that log for you",
    "push_device": "phones that remind you in the place of a mail, without their addresses",
    "entry": "each log as it came, with notes",
    "result": "what was done of each part",
    "accepted_swap": "work that a coach let count",
    "line": "messages from coaches",
    "pain_note": "pain as it was told",
    "pain_look": "on which days somebody here read of your pain",
    "care_need": "why somebody else here read of your pain, and until when",
    "earlier_hurt": "what hurt before you came",
    "screening": "movements a coach looked at",
    "screening_drill": "drills that need such a movement",
    "remembered": "practice before the first week, from memory",
    "intake": "your answers to the first questions",
    "stop": "what stopped for pain, and how it was cleared",
    "caution_read": "cautions that were read",
    "tally": "what was reckoned of each week",
    "club": "clubs",
    "sitting": "times at which shots were measured",
    "shot": "every shot",
    "speed_block": "your speed block",
    "kept_line": "what your coach's list last said of you",
    "numbers_now": "figures of your tests",
    "shot_file": "files of shots that came in",
    "refused_row": "rows of those files that could not be taken",
    "checked_count": "counts by a coach",
    "clip": "clips; the films, pictures and voice notes lie in clips/",
    "lesson": "lessons, without the coaches' own line",
    "finding": "what was found in a lesson",
    "finding_drill": "drills for what was found",
    "lesson_clip": "clips taken in a lesson",
    "carry_kept": "what a lesson carried into the next week",
    "season_plan": "season plans",
    "phase": "phases of a season",
    "season_priority": "priorities of a season",
    "series": "lessons that come back",
    "series_day": "single days of them",
    "feed": "links by which a calendar reads your lessons",
    "event": "competitions and test days",
    "ramp": "how minutes grow over a season",
    "gym_day": "days in the gym",
    "practice_day": "usual days and places",
    "gate_now": "which step is near",
    "in_group": "groups you are in",
    "attended": "group sessions you were at",
    "tried": "what a coach tried in a week, without notes for the other coaches",
    "word_kept": "what was said of a week on its Wednesday, and what came of it",
    "board_look": "your own last look at the list of students",
    "note_seen": "when a coach saw your note",
    "kept_words": "words of yours that a coach kept",
    "report": "reports",
    "strength_consent": "your yes to strength being kept",
    "strength_consent_change": "every answer about strength",
    "lift": "lifts",
    "reminder_rule": "which reminders you want",
    "summary_rule": "your summary by mail",
    "evening_rule": "your evening mail",
    "silence": "whose reminders were ended",
    "notice": "reminders sent",
    "told": "what each mail told of, among what was written to you",
    "erasure": "that erasure was asked for",
}
README = """Everything that {studio} keeps of {name} in Between Lessons
Made on {day}.

Each kind of record is here twice: as JSON Lines for programs (one record a line) and as CSV
for a sheet. Days are year-month-day, moments in UTC; distances are metres, speeds metres a
second, weights kilograms, minutes as they say.

Other people are named by what they are: the student, a guardian, somebody of the studio.
Not in it, by rule: the line that coaches keep for each other about a lesson, their notes about
calls, who else is in a group, passwords and keys. Ask the studio for what you miss.

Files:
{files}
"""
