"""Which rows a judgement reads; triggers say in the database that one changed.

`tests/board/test_kept.py` compares the list with what is read.
"""

from shared.site.triggers import ROWS, Triggers

OWN = "SELECT {row}.student_id"
ITSELF = "SELECT {row}.id"
OF_STUDIO = "SELECT id FROM people_student WHERE studio_id = {row}.studio_id"
ALL_OF_STUDIO = "SELECT id FROM people_student WHERE studio_id = {row}.id"
OF_WEEK = "SELECT student_id FROM weeks_week WHERE id = {row}.week_id"
OF_DRILL = (
    "SELECT id FROM people_student WHERE studio_id ="
    " (SELECT studio_id FROM drills_drill WHERE id = {row}.drill_id)"
)

# Of each model, whose line a changed row may change.
WATCHED = {
    "people.Student": ITSELF,
    "people.Studio": ALL_OF_STUDIO,
    "standing.StudioThresholds": OF_STUDIO,
    "kept.StudioRhythm": OF_STUDIO,
    "shots.StudioDays": OF_STUDIO,
    "drills.Drill": OF_STUDIO,
    "drills.DrillRevision": OF_DRILL,
    "weeks.Week": OWN,
    "weeks.Part": OF_WEEK,
    "weeks.Excusal": OWN,
    "bring.Remembered": OWN,
    "compliance.WeekTally": OWN,
    "log.Entry": OWN,
    "log.Result": OWN,
    "log.AcceptedSwap": OWN,
    "log.Line": OWN,
    "words.NoteSeen": OWN,
    "care.PainNote": OWN,
    "care.Stop": OWN,
    "lessons.Lesson": OWN,
    "shots.Sitting": OWN,
    "checked.CheckedCount": OWN,
    "progress.NumbersNow": OWN,
    "season.GateNow": OWN,
}
KEPT = "board_keptline"
# Further than anybody who writes while nothing is heard can have counted ahead.
AFRESH = 1_000_000
RAISE = f"UPDATE {KEPT} SET version = version"  # noqa: S608 (ours)
# Any row written raises the version. Put up anew they let no line stand.
TRIGGERS = Triggers(
    name="kept",
    whose={model: dict.fromkeys(ROWS, whose) for model, whose in WATCHED.items()},
    says=f"{RAISE} + 1 WHERE student_id {{among}}",
    afresh=f"{RAISE} + {AFRESH}",
)
