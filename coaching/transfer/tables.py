"""The file of a studio that moves: every kind of `records.kinds` that leaves, in its order.

The file is JSON Lines in UTF-8. The first line is a heading:

    {"format": "between-lessons studio", "version": 4, "studio": "…", "name": "…", "made_at": "…"}

Every other line is one record: its kind under "is", then every field under the name that
the model gives it (a reference ends in `_id`). Days and times are ISO 8601, instants in
UTC, decimals are strings. Records that have no id of their own (results, shots …) carry
none. The last line counts the lines before it and has their SHA-256:

    {"end": 1234, "sha256": "…"}

A version is the set of kinds that move, and their fields. Whoever adds a field to one of these
models raises VERSION and says in CAME_WITH what a record from before has in it.
"""

from typing import Any

from coaching.records.kinds import MOVING

FORMAT = "between-lessons studio"
VERSION = 16  # With season_template (10), remembered (11) and try_out (12), new kinds.
UNDATED = "2026-11-29T00:00:00+00:00"  # Of files without `made_at`: none was written later.
# Fields by the version they came with: of which kind, and what an older record has in them.
CAME_WITH: dict[int, dict[str, dict[str, Any]]] = {
    2: {
        "part": {"places": {}},
        "finding": {"balls": ""},
        "studio": {"bays_checked_on": None},
    },
    3: {
        "student": {"awaits_second_adult": False, "confirmed_at": None, "confirmed_by_id": None},
        "guardianship": {"ended_at": None},
    },
    4: {"pain_note": {"is_kept": False, "faded_at": None}},
    5: {"student": {"turns_18_on": None}, "guardianship": {"ended_why": ""}},
    6: {"reminder_rule": {"written": True}},
    7: {"student": {"phone": ""}},
    8: {"word_kept": {"share_of_line": None}},
    9: {
        "reminder_rule": {
            "moment": "",
            "place": "",
            "hindrance": "",
            "instead": "",
            "follows_practice": False,
            "by_chance": False,
            "calls_since": None,
        }
    },
    13: {"try_out": {"design": "start", "other_id": None, "weeks": 1, "turns": []}},
    14: {
        "result": {"timed_minutes": None, "guessed_minutes": None},
        "checked_count": {"own_reps": None},
    },
    15: {"week": {"given_revision": None}},
    16: {"lesson": {"moved_at": None}, "club": {"touched_at": None}},
}
BY_KIND = {kind.name: kind for kind in MOVING}
