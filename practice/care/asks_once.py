"""What is said where work may not be sent, or not before a coach has said so. Pure."""

from collections.abc import Iterable

from practice.care.work import Stopped
from shared.kit.refused import Refused


def refusal(stop: Stopped) -> str:
    """Why a part cannot be sent, and what to do.

    Nothing of pain: who sets a week need not be who may read of it.
    """
    named = f"“{stop.name}” is" if stop.name else "Hard swings are"
    return f"{named} not for now. Take the part out, or ask the lead coach, who can clear it."


class AskOnce(Refused):
    """Work beyond a `limit`, in words: a coach may still ask for it, and says so in `tick`."""

    tick = "Ask for it all the same."

    def __init__(self, limit: str, ways_out: str) -> None:
        super().__init__(f"{limit} {ways_out}")
        self.limit = limit


class Beyond(AskOnce):
    """More than the week of an event, or of a child, may ask; `limits` say what and how much."""

    def __init__(self, limits: Iterable[str]) -> None:
        ways_out = "Take some out, or say that you ask for it all the same."
        super().__init__(" ".join(limits), ways_out)


class Rests(AskOnce):
    """Hard swings asked of a student who rests from them; `also` whatever else is beyond."""

    tick = "Ask for the hard swings all the same: I have asked how it feels."

    def __init__(self, also: Iterable[str] = ()) -> None:
        limit = " ".join([*also, "These days are a rest from hard swings."])
        super().__init__(limit, "Take them out, or say that you ask for them all the same.")
