"""Invented students of other hands, who know nothing of how the forecast thinks.

Each module is one kind of person, written from what such a person does and not from what
the forecast assumes: no weekday odds, no gamma of minutes, no common move of a week. A
person is begun with a source of chance, opens a week with the minutes asked, and lives one
day after the other. A copy of a person lives on from the same state: that is how the best
possible forecast of them is made (`worlds`).
"""
