"""A coach who types one part and sends it, and is asked before it goes."""

from django.urls import reverse

from practice.weeks.models import Week
from tests.conftest import signed_in


def typed(drill, dose, sessions, **fields):
    return {
        "rows": "1", "p0-drill": str(drill.pk), "p0-dose": dose, "p0-sessions": str(sessions),
        "p0-minutes": "20", "do": "send",
    } | {f"p0-{name}": value for name, value in fields.items()}  # fmt: skip


def is_asked_once(coach, student, opens, form, words):
    """The week is not sent before the tick below these words, and is after it."""
    client, at = signed_in(coach), reverse("plans:set_week", args=[student.pk, opens])
    page = client.post(at, form)
    assert page.status_code == 400
    assert words in page.content.decode()
    assert 'name="in-spite"' in page.content.decode()
    assert not Week.objects.filter(opens=opens, state=Week.State.SENT).exists()
    assert client.post(at, form | {"in-spite": "on"}).status_code == 302
    return Week.objects.get(opens=opens, state=Week.State.SENT)
