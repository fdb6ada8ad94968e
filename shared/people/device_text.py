"""What a browser says it runs on, in words a person knows the device by."""

# In this order: a tablet says the name of its phone's system too.
KINDS = (
    ("iPad", "iPad"),
    ("iPhone", "iPhone"),
    ("Android", "Android phone or tablet"),
    ("Windows", "Windows computer"),
    ("CrOS", "Chromebook"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux computer"),
)
LONGEST = 80


def device_words(user_agent: str) -> str:
    """As in 'Windows computer'; 'Device without a name' for what names none of these."""
    found = (words for sign, words in KINDS if sign in user_agent)
    return next(found, "Device without a name")[:LONGEST]
