"""How many juniors come to one adult, told with a word of care. Pure."""

from shared.kit.text import many

DEFERS = (
    "How many may be with one adult? Ask your governing body and local law."
    " A second adult in sight is common practice."
)


def ratio_words(juniors: int, adults: int, contact: str) -> str:
    """'Under 18: eight juniors, two adults, four to each.' and whom to ask; empty without juniors.

    No number of ours: none of them would hold everywhere.
    """
    if not juniors:
        return ""
    each = -(-juniors // adults)
    told = f"Under 18: {many(juniors, 'junior')}, {many(adults, 'adult')}"
    if adults > 1:
        told += f", up to {each} to each"
    ask = f" Ask {contact} where in doubt." if contact else ""
    return f"{told}. {DEFERS}{ask}"
