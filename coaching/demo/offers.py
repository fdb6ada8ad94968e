"""What the first page offers of the demo."""

from django.conf import settings
from django.urls import reverse

from coaching.demo.sign_ins import is_demo_only, sign_ins
from shared.people.events import Offer


def to_load() -> list[Offer]:
    """The button that loads it; none on a public server."""
    if settings.PRODUCTION:
        return []
    return [
        Offer(
            reverse("demo:load"),
            "Load the demo",
            "An invented studio with fourteen students and thirteen weeks of practice. "
            "Nobody in it is real. It takes a few seconds and can be taken away again.",
        )
    ]


def to_walk_in() -> list[Offer]:
    """One button per person of the demo, and the way to a studio of one's own."""
    if settings.PRODUCTION or not is_demo_only():
        return []
    people = [
        Offer(reverse("demo:sign_in"), row.name, row.role, {"user": row.user_id})
        for row in sign_ins()
    ]
    away = Offer(
        reverse("demo:remove"),
        "Take the demo away",
        "Deletes everything of the demo and starts again with an empty house. You are asked first.",
    )
    return [*people, away]
