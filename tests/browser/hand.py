"""Counting what a coach's hand does on a page."""


class Hand:
    """A coach's hand: every tap, and every word or key typed, is counted once."""

    def __init__(self, page) -> None:
        self.page, self.count = page, 0

    def tap(self, place) -> None:
        place.click()
        self.count += 1

    def type(self, place, words: str) -> None:
        place.fill(words)
        self.count += 1

    def choose(self, place, label: str) -> None:
        """A select: one tap to open it, one on the line."""
        place.select_option(label=label)
        self.count += 2

    def add(self, name: str, n: int) -> None:
        """Type a drill into the field of Set the week and take the line that is found."""
        self.tap(self.page.locator("#add-drill"))
        self.type(self.page.locator("#add-drill"), name)
        self.tap(self.page.locator("#drill-list [role=option]").first)
        self.page.wait_for_function(f"() => document.activeElement.id === 'p{n}-dose'")

    def key(self, name: str) -> None:
        self.page.keyboard.press(name)
        self.count += 1

    def word(self, words: str) -> None:
        self.page.keyboard.type(words)
        self.count += 1
