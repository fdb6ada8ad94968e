"""Who may enter at each address of the site. One line per route, kept by hand.

A route under `<uuid:student_id>` without a line falls under the default of
tests/test_routes.py: strangers get a 404. Every other route needs its line here.
"""

PUBLIC = {
    "anonymous", "owner", "coach", "assistant", "strength", "other strength", "stranger",
    "student", "other student", "guardian", "other guardian",
}  # fmt: skip
SIGNED_IN = PUBLIC - {"anonymous"}
TEACHING = {"owner", "coach", "assistant", "stranger"}  # Of any studio: their own pages.
PLANNING = {"owner", "coach", "stranger"}
LIFTING = {"strength", "other strength"}  # The victim is shared with the first.
LOGGING = {"student", "other student", "guardian", "other guardian"}

# Of the victim, a child of one studio.
TAUGHT_BY = {"owner", "coach", "assistant"}
PLANNED_BY = {"owner", "coach"}
CARED_FOR_BY = {"coach"}  # Health data: an owner reads it only as the lead coach.
LOGGED_BY = {"student", "guardian"}
NOBODY: set[str] = set()

# A set, or one for each method; a method that is not named is nobody's.
ROUTES: dict[str, set[str] | dict[str, set[str]]] = {
    # People
    "home": SIGNED_IN,
    "welcome": PUBLIC,
    "settings": SIGNED_IN,
    "students": TEACHING,
    "student_new": PLANNING,
    "student_new_minor": PLANNING,
    "student_edit": PLANNED_BY,
    "student_left": PLANNED_BY,
    "student_returned": NOBODY,  # The victim has not left.
    "student_invite": NOBODY,  # The victim has joined.
    "invitation_show": PLANNED_BY,
    "invitation_send": PLANNED_BY,
    "invitation_revoke": PLANNED_BY,
    "invitation": PUBLIC,
    "invitation_code": PUBLIC,
    "invitation_details": PUBLIC,
    "consents": {"guardian"},
    "people": {"owner", "stranger"},  # Each an owner: their own studio.
    "studio_edit": {"owner", "stranger"},
    "membership_end": {"owner"},
    # The phone
    "log:shell": PUBLIC,
    "log:worker": PUBLIC,
    "log:manifest": PUBLIC,
    "log:more": NOBODY,  # Asked for a file that is none.
    "log:plain": LOGGING,
    "log:counted": LOGGED_BY,  # Of the others nothing is known in that week.
    "log:open": PUBLIC,
    "log:child": {"guardian"},
    "log:child_counted": LOGGED_BY,
    "log:api_key": {"get": SIGNED_IN, "post": LOGGING},
    "log:api_week": LOGGING,
    "log:api_sync": LOGGING,
    # What is put is anybody's own; the entry read is nobody's.
    "log:api_session": {"get": NOBODY, "post": LOGGING, "put": LOGGING, "delete": LOGGING},
    # The drill shelf
    "drills:shelf": TEACHING,
    "drills:new": PLANNING,
    "drills:read_dose": TEACHING,
    "drills:show": TAUGHT_BY,
    "drills:edit": PLANNED_BY,
    "drills:archive": PLANNED_BY,
    "drills:bring_back": PLANNED_BY,
    "drills:caution": PLANNED_BY,
    "drills:withdraw_caution": PLANNED_BY,
    # The board
    "board:who": TEACHING,
    "board:student": TAUGHT_BY,
    "board:worked_out": TAUGHT_BY,
    "board:write_line": TAUGHT_BY,
    "board:calls": TEACHING,
    "kept:score": TEACHING,
    "board:borders": PLANNING,
    "board:care": TAUGHT_BY,
    "board:care_roster": TEACHING,
    "board:clear_stop": CARED_FOR_BY,
    # Weeks
    "plans:choose_week": PLANNED_BY,
    "plans:set_week": PLANNED_BY,
    "plans:start": PLANNED_BY,
    "plans:discard": PLANNED_BY,
    "plans:shorten": PLANNED_BY,
    "plans:excuse": PLANNED_BY,
    "plans:withdraw": PLANNED_BY,
    "plans:several": PLANNING,
    "plans:templates": PLANNING,
    "plans:template": PLANNED_BY,
    # Lessons
    "lessons:next_up": TEACHING,
    "lessons:handover": TAUGHT_BY,
    "lessons:plan": NOBODY,  # Asked without saying for whom.
    "lessons:note": {"get": TAUGHT_BY, "post": PLANNED_BY},
    "lessons:typed": PLANNED_BY,
    "lessons:clip": PLANNED_BY,
    "lessons:this_one": NOBODY,  # The clip asked for is none of the lesson's.
    "lessons:close": PLANNED_BY,
    "lessons:write_on": PLANNED_BY,
    "lessons:cancel": PLANNED_BY,
    # Words
    "words:waiting": TEACHING,
    "words:act": NOBODY,  # The entry asked for is nobody's.
    "reports:show": PLANNED_BY,  # A draft; what was sent, its readers see too.
    # Clips
    "clips:of_student": TAUGHT_BY | LOGGED_BY,
    "clips:watch": TAUGHT_BY | LOGGED_BY,
    "clips:file": TAUGHT_BY | LOGGED_BY,
    "clips:still": TAUGHT_BY | LOGGED_BY,
    "clips:remove": TAUGHT_BY | {"guardian"},
    "clips:model": TAUGHT_BY,
    # Season
    "season:sheet": TAUGHT_BY,
    "season:own_sheet": LOGGED_BY,
    "season:plan": PLANNED_BY,
    "season:minutes": PLANNED_BY,
    "season:re_ramp": PLANNED_BY,
    "season:add_event": PLANNED_BY,
    "season:remove_event": PLANNED_BY,
    "season:strip": PLANNED_BY | {"strength"},
    "season:gym": PLANNING | LIFTING,
    "season:days": LOGGED_BY | PLANNED_BY,
    # Groups, and test days
    "groups:all": {"get": TEACHING, "post": PLANNING},
    "groups:show": TAUGHT_BY,
    "groups:change": PLANNED_BY,
    "groups:hold": TAUGHT_BY,
    "groups:take_back": TAUGHT_BY,
    "groups:test_day_of_group": TAUGHT_BY,
    "groups:test_day": TAUGHT_BY,
    "groups:test_day_back": NOBODY,  # The entry asked for is nobody's.
    # Numbers
    "progress:wedges": TAUGHT_BY,
    "progress:own_wedges": LOGGED_BY,
    "progress:print_card": TAUGHT_BY | LOGGED_BY,
    "progress:ladder": TAUGHT_BY,
    "progress:own_ladder": LOGGED_BY,
    "progress:load": TAUGHT_BY,
    "progress:own_load": LOGGED_BY,
    "progress:balls": TAUGHT_BY,
    "progress:clubs": TAUGHT_BY,
    "progress:count": TAUGHT_BY,
    # Strength: the victim is a child, of whom there is none.
    "progress:strength_roster": LIFTING,
    "progress:strength": NOBODY,
    "progress:strength_remove": NOBODY,
    "progress:own_strength": NOBODY,
    "progress:strength_withdraw": NOBODY,
    "progress:api_speed": TAUGHT_BY | LOGGED_BY,
    "progress:api_wedges": TAUGHT_BY | LOGGED_BY,
    "progress:api_lookup": TAUGHT_BY | LOGGED_BY,
    "progress:api_ladder": TAUGHT_BY | LOGGED_BY,
    "progress:api_load": TAUGHT_BY | LOGGED_BY,
    "progress:api_moved": TAUGHT_BY,
    "progress:api_strength": NOBODY,  # The victim is a child.
    "progress:api_shots": TAUGHT_BY | LOGGED_BY,
    "progress:api_clubs": TAUGHT_BY | LOGGED_BY,
    "api_schema": PUBLIC,
    # Reminders
    "reminders:mine": SIGNED_IN - LIFTING,
    "reminders:summary": TEACHING,
    "reminders:evening": TEACHING,
    "reminders:running": {"owner", "stranger"},
    "reminders:stop": NOBODY,  # Asked with an invitation's token, which opens nothing here.
    "reminders:of": LOGGED_BY,
    "reminders:none": LOGGED_BY,
    # The demo: only in an empty house, or in one with nothing but the demo
    "demo:load": PUBLIC,
    "demo:sign_in": NOBODY,
    "demo:remove": NOBODY,
    # For whatever watches
    "health:live": PUBLIC,
    "health:ready": PUBLIC,
}

# The sign-in library's own pages: each knows nobody but whoever is signed in.
LIBRARY = ("account_", "mfa_")
