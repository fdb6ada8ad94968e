"""The one refusal: why something is not done, in a sentence for whoever asked."""


class Refused(ValueError):
    """What cannot be, and why or what to do instead; `field` names what it is about, if anything.

    What was begun with it is taken back: raise it before anything is written, or within the
    transaction.
    """

    def __init__(self, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence, self.field = sentence, field
