"""What is written that reminders must know of; triggers make it `Heard` in the database.

What was written is not judged here: the tick looks at whose rows these are, as it does at their
hour, and finds what may be told at once. `tests/reminders/test_heard.py` writes each of them.
"""

from shared.site.triggers import Triggers

OF_STUDENT = "SELECT {row}.student_id"
SENT = "SELECT {row}.student_id WHERE {row}.sent_at IS NOT NULL"
ITSELF = "SELECT {row}.id"
OF_USER = "SELECT {row}.user_id"

TRIGGERS = Triggers(
    name="heard",
    whose={
        "people.Student": {
            "INSERT": ITSELF,
            "UPDATE OF time_zone, left_on, awaits_second_adult": ITSELF,
        },
        "people.Guardianship": {
            "INSERT": OF_STUDENT,
            "UPDATE OF consented_at, withdrawn_at, ended_at": OF_STUDENT,
        },
        "people.User": {"UPDATE OF time_zone": ITSELF},
        "people.Membership": {"INSERT": OF_USER, "UPDATE OF role, ended_at": OF_USER},
        "weeks.Week": {"INSERT": SENT, "UPDATE OF sent_at, amended_at": SENT},
        "log.Line": {"INSERT": OF_STUDENT},
        "reports.Report": {"INSERT": SENT, "UPDATE OF sent_at": SENT},
        "clips.Clip": {"INSERT": OF_STUDENT},
    },
    says="INSERT INTO reminders_heard (who) {whose}",
    afresh="INSERT INTO reminders_heard (who)"
    " SELECT id FROM people_student UNION SELECT id FROM people_user",
)
