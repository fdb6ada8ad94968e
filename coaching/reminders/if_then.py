"""A student's own plan, 'when this, then that', as one sentence. Pure.

Naming a moment, a place and what to do if something comes between helps: over all kinds of
aims by a middle amount (d 0.65; Gollwitzer, P. M. & Sheeran, P. (2006), Advances in Experimental
Social Psychology 38, 69-119), of physical activity by a small to middle one (0.31 after, 0.24
later; Bélanger-Gravel, A., Godin, G. & Amireault, S. (2013), Health Psychology Review 7, 23-54).
Both from memory. So it is offered, in the student's words, and asked of nobody.
"""

from dataclasses import dataclass

LONGEST = 60
# To tap instead of typing: common ones, no source.
WHENS = ("after school", "after work", "before breakfast", "before dinner", "after dinner")
WHERES = ("in the garage", "in the garden", "in the living room", "at the range", "at the club")
HINDRANCES = ("it rains", "it gets late", "somebody is in the way", "I am tired")
INSTEADS = ("the short form", "part 1 without a ball", "the next morning before breakfast")


@dataclass(frozen=True, slots=True)
class IfThen:
    """Four short answers; a plan has a moment or a place."""

    moment: str = ""
    place: str = ""
    hindrance: str = ""
    instead: str = ""

    def __bool__(self) -> bool:
        return bool(self.moment or self.place)


def sentence(plan: IfThen, priority: int = 1) -> str:
    """'After school, in the garage, part 1; if it rains, the short form.'; empty without a plan."""
    if not plan:
        return ""
    first = ", ".join(filter(None, (plan.moment, plan.place, f"part {priority}")))
    both = plan.hindrance and plan.instead
    whole = f"{first}; if {plan.hindrance}, {plan.instead}" if both else first
    return f"{whole[0].upper()}{whole[1:]}."


def tidy(words: str, before: str = "") -> str:
    """As it is kept: without its full stop and the word that the sentence has already."""
    words = " ".join(words.split()).rstrip(".;,")
    return words[len(before) :] if words.lower().startswith(before) else words
