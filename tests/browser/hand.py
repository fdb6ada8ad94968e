"""Counting what a coach's hand does on a page, and how long a person is about it."""

# Seconds, by Card, Moran and Newell, The keystroke-level model, Communications of the ACM 23
# (1980), 396-410, from memory: a key by somebody who types a little, pointing, a press of the
# mouse, changing between mouse and keys, making up one's mind.
KEY, POINT, PRESS, HOME, MIND = 0.28, 1.1, 0.2, 0.4, 1.35
# Brysbaert, How many words do we read per minute?, Journal of Memory and Language 109 (2019),
# from memory: adults, silently, what is no story.
WORDS_A_MINUTE = 238
# The lines that stand on the page, without those that a closed select holds.
SHOWN = """(main) => {
  const folded = [...main.querySelectorAll("option:not(:checked)")].map((one) => one.text.trim());
  return main.innerText.split("\\n").filter((line) => !folded.includes(line.trim()));
}"""


class Hand:
    """A coach's hand: every tap, and every word or key typed, is counted once.

    `seconds` is what a person takes for it: no wait for an answer is in it.
    """

    def __init__(self, page) -> None:
        self.page, self.count, self.seconds = page, 0, 0.0
        self.known: set[str] = set()

    def tap(self, place) -> None:
        place.click()
        self.tapped(1)

    def tapped(self, times: int) -> None:
        """Taps that no page of ours is there for."""
        self.count += times
        self.seconds += times * (MIND + POINT + PRESS)

    def type(self, place, words: str) -> None:
        place.fill(words)
        self.tapped(1)
        self.seconds += 2 * HOME + KEY * len(words)

    def paste(self, place, words: str) -> None:
        place.fill(words)
        self.tapped(1)
        self.seconds += 2 * HOME + 2 * KEY

    def choose(self, place, label: str) -> None:
        """A select: one tap to open it, one on the line."""
        place.select_option(label=label)
        self.tapped(2)

    def add(self, name: str, n: int) -> None:
        """Type a drill into the field of Set the week and take the line that is found."""
        self.tap(self.page.locator("#add-drill"))
        self.type(self.page.locator("#add-drill"), name)
        self.tap(self.page.locator("#drill-list [role=option]").first)
        self.page.wait_for_function(f"() => document.activeElement.id === 'p{n}-dose'")

    def key(self, name: str) -> None:
        self.page.keyboard.press(name)
        self.count += 1
        self.seconds += KEY

    def word(self, words: str) -> None:
        self.page.keyboard.type(words)
        self.count += 1
        self.seconds += MIND + KEY * len(words)

    def read(self) -> None:
        """Every line of the page that was not read before; what is folded stays so."""
        lines = set(self.page.locator("main").evaluate(SHOWN)) - self.known
        self.known |= lines
        self.seconds += 60 * sum(len(line.split()) for line in lines) / WORDS_A_MINUTE
