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
HANDED_OUT_TO = {"owner", "guardian"}  # A child is no adult who takes its own.
NOBODY: set[str] = set()

# A set, or one for each method; a method that is not named is nobody's.
ROUTES: dict[str, set[str] | dict[str, set[str]]] = {
    # People
    "home": SIGNED_IN,
    "welcome": PUBLIC,
    "settings": SIGNED_IN,
    "own_mail": SIGNED_IN,  # Each their own.
    "undo": SIGNED_IN,  # Each their own; asked with nothing to undo.
    "signed_out": PUBLIC,
    "prove_again": SIGNED_IN,
    "passkey_needed": SIGNED_IN,
    "log:devices": SIGNED_IN,
    "log:others_end": SIGNED_IN,
    "log:session_end": NOBODY,  # The session asked for is nobody's.
    "log:key_end": NOBODY,  # The key asked for is nobody's.
    "students": TEACHING,
    "student_new": PLANNING,
    "student_new_minor": PLANNING,
    "student_edit": PLANNED_BY,
    "student_left": PLANNED_BY,
    "mail_again": PLANNED_BY,
    "student_returned": NOBODY,  # The victim has not left.
    "student_invite": NOBODY,  # The victim has joined.
    "student_closed": NOBODY,  # The victim's record is open.
    "student_confirm": NOBODY,  # The victim is confirmed.
    "child_confirm": {"guardian"},
    "birthday": NOBODY,  # The victim does not turn 18 this year.
    "grown_up": NOBODY,
    "stop_reading": NOBODY,
    "guardians": {"guardian"},
    "guardian_leave": {"guardian"},
    "student_guardians": {"get": {"owner"}, "post": NOBODY},  # Of none of the ties is spoken.
    "invitation_show": PLANNED_BY,
    "invitation_send": PLANNED_BY,
    "invitation_revoke": PLANNED_BY,
    "invitation": PUBLIC,
    "invitation_code": PUBLIC,
    "invitation_details": PUBLIC,
    "consents": {"guardian"},
    "house": {"owner", "stranger"},
    "security_events": {"owner", "stranger"},
    "people": {"owner", "stranger"},  # Each an owner: their own studio.
    "studio_edit": {"owner", "stranger"},
    "membership_end": {"owner"},
    "passkey_lost": {"owner"},
    "address": {"owner", "stranger"},
    "test_mail": {"owner", "stranger"},
    "proved": NOBODY,  # Asked with an invitation's token, which proves nothing.
    "trust": NOBODY,  # There is no certificate of our own.
    "trust_authority": NOBODY,
    # The phone
    "log:shell": PUBLIC,
    "log:paper": TAUGHT_BY | LOGGED_BY,
    "log:write_in": TAUGHT_BY | LOGGED_BY,
    "log:part_card": NOBODY,  # Asked with an invitation's token, which opens nothing here.
    "log:worker": PUBLIC,
    "log:manifest": PUBLIC,
    "log:more": NOBODY,  # Asked for a file that is none.
    "log:plain": LOGGING,
    "log:counted": LOGGED_BY,  # Of the others nothing is known in that week.
    "log:open": PUBLIC,
    "log:child": {"guardian"},
    "log:pain_read_by": {"guardian"},
    "log:child_phones": {"guardian"},
    "log:child_phone_end": NOBODY,  # The phone asked for is nobody's.
    "log:phone_code": PUBLIC,
    "log:forget": PUBLIC,  # Whoever holds the phone.
    "log:phone_link": PUBLIC,
    "log:child_counted": LOGGED_BY,
    "log:api_key": {"get": SIGNED_IN, "post": LOGGING},
    "log:api_week": LOGGING,
    "intake:own": LOGGED_BY,
    "intake:review": PLANNED_BY,
    "intake:screen": PLANNED_BY,
    "log:api_push": NOBODY,  # By a phone's own key.
    "log:api_push_opened": NOBODY,
    "log:api_sync": LOGGING,
    "log:api_read": LOGGING,
    "log:api_clip": NOBODY,  # By a phone's key alone, which no sign-in brings.
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
    "board:seen": TEACHING,
    "board:row": TAUGHT_BY,
    "board:weeks": TAUGHT_BY,
    "find:find": TEACHING,
    "board:student": TAUGHT_BY,
    "board:worked_out": TAUGHT_BY,
    "board:write_line": TAUGHT_BY,
    "board:calls": TEACHING,
    "kept:score": TEACHING,
    "board:borders": PLANNING,
    "board:care": TAUGHT_BY,
    "board:care_roster": TEACHING,
    "board:clear_stops": CARED_FOR_BY,
    "board:keep_pain": CARED_FOR_BY,
    "board:care_need": PLANNED_BY,
    "board:care_read_by": {"owner"},
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
    "lessons:plan": TEACHING,  # Asked without saying for whom.
    "lessons:note": {"get": TAUGHT_BY, "post": PLANNED_BY},
    "lessons:typed": PLANNED_BY,
    "lessons:clip": PLANNED_BY,
    "lessons:this_one": NOBODY,  # The clip asked for is none of the lesson's.
    "lessons:close": PLANNED_BY,
    "lessons:write_on": PLANNED_BY,
    "lessons:throw_away": PLANNED_BY,
    "lessons:as_last_time": PLANNED_BY,
    "lessons:cancel": PLANNED_BY,
    # The timetable, and lists that are brought
    "timetable:timetable": PLANNING,
    "timetable:series": PLANNED_BY,
    "timetable:change_day": PLANNED_BY,
    "timetable:holiday_new": PLANNING,
    "timetable:calendar": PLANNING,
    "timetable:own_calendar": LOGGED_BY,
    "timetable:feed": NOBODY,  # Asked with an invitation's token, which opens no calendar.
    "timetable:holiday_remove": PLANNED_BY,
    "timetable:read_in": PLANNING,
    "timetable:take_read_in_back": NOBODY,  # None was read in.
    "timetable:follow": PLANNING,
    "timetable:followed": NOBODY,  # None is followed, and whoever follows one sees it alone.
    "timetable:follow_progress": NOBODY,
    "bring:list": PLANNING,
    "bring:batch": PLANNED_BY,
    "bring:send": PLANNED_BY,
    "bring:take_back": PLANNED_BY,
    "bring:forget_past": PLANNED_BY,
    # Words
    "words:waiting": TEACHING,
    "words:act": NOBODY,  # The entry asked for is nobody's.
    "reports:show": PLANNED_BY,  # A draft; what was sent, its readers see too.
    # A copy of everything, and its end
    "records:export": HANDED_OUT_TO,
    "records:erase": HANDED_OUT_TO,
    "records:take_back": NOBODY,  # Nobody has asked for it.
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
    "season:save_template": PLANNED_BY,
    "season:delete_template": PLANNED_BY,
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
    "progress:try_out": PLANNED_BY,
    "progress:try_turns": PLANNED_BY,
    "progress:end_try_out": NOBODY,  # The try-out asked for is nobody's.
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
    "reminders:mails": PLANNING,
    "reminders:running": {"owner", "stranger"},
    "reminders:stop": NOBODY,  # Asked with an invitation's token, which opens nothing here.
    "reminders:of": LOGGED_BY,
    "reminders:sent": CARED_FOR_BY,
    "reminders:none": LOGGED_BY,
    # The demo: only in an empty house, or in one with nothing but the demo
    "demo:tour": NOBODY,  # Nothing but the demo must live here.
    "demo:load": PUBLIC,
    "demo:sign_in": NOBODY,
    "demo:remove": NOBODY,
    # For whatever watches
    "health:live": PUBLIC,
    "health:metrics": NOBODY,  # Without a token there are none.
    "favicon": PUBLIC,
    "security_txt": NOBODY,  # Nobody has said whom to tell.
    "health:ready": PUBLIC,
}

# The sign-in library's own pages: each knows nobody but whoever is signed in.
LIBRARY = ("account_", "mfa_")


# --- Where a guardian has withdrawn the record, or no second adult has confirmed the child ---

# Read by the guardian and the child until it is erased.
STILL_READ = {
    "consents": {"guardian"}, "guardians": {"guardian"}, "log:child": {"guardian"},
    "log:child_counted": LOGGED_BY, "log:pain_read_by": {"guardian"},
    "progress:own_wedges": LOGGED_BY, "progress:own_ladder": LOGGED_BY,
    "progress:own_load": LOGGED_BY, "progress:own_speed": LOGGED_BY,
    "progress:own_moved": LOGGED_BY, "progress:print_card": LOGGED_BY,
    "season:own_sheet": LOGGED_BY, "clips:of_student": LOGGED_BY, "reports:own": LOGGED_BY,
    "lessons:own": LOGGED_BY, "words:own": LOGGED_BY,
}  # fmt: skip
# What those who work here have of the child then: a name to miss, and what is to be done.
STILL_NAMED = {"students": TAUGHT_BY, "house": {"owner"}, "student_closed": {"owner"},
               "records:export": {"owner"}, "records:erase": {"owner"}}  # fmt: skip
# Pages that ask who it is once more before they say anything.
ASK_AGAIN = {"records:export", "records:erase"}
NAMED_TO_CONFIRM = {"student_confirm": {"owner"}}  # The coach invited the guardian.
# The guardian's answers, what takes something away, and what is about somebody else.
MAY_STILL_WRITE = {
    "consents": {"guardian"},
    "clips:remove": {"guardian"},
    "invitation_revoke": PLANNED_BY,
    "test_mail": {"owner", "stranger"},  # To themselves.
    "timetable:calendar": PLANNING,  # A link of their own.
    "timetable:holiday_remove": PLANNED_BY,  # The studio's days, and its other students'.
    # What is read here needs no mail any more.
    "clips:of_student": LOGGED_BY,
    "reports:own": LOGGED_BY,
    "words:own": LOGGED_BY,
    # A phone's key is ended, which only takes away.
    "log:key_end": SIGNED_IN,
    "log:forget": SIGNED_IN,
    "log:others_end": SIGNED_IN,
    "log:child_phone_end": {"guardian"},
}
