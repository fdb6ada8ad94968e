"""What a page says, sentence by sentence: words, figures and how hard each is to read.

The grade is that of Kincaid and others, Derivation of New Readability Formulas for Navy
Enlisted Personnel, 1975: 0.39 words a sentence + 11.8 syllables a word − 15.59. Syllables are
counted by syllapy. The formula was made on passages of a hundred words: in a sentence of less
than eight, one syllable is more than a year, so shorter ones count in the median alone.
"""

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

import syllapy

WORDS_AT_MOST, FIGURES_AT_MOST, GRADE_AT_MOST, MEDIAN_AT_MOST = 14, 2, 9.0, 6.0
GRADED_FROM = 8
WORKED_OUT = "How was this worked out?"
# A figure is a number with what belongs to it: “5 mph”, “28 of 34”, “1 to 3”, “18:30”, “5 May”.
_NUMBER = r"\d[\d,.:/]*"
FIGURE = re.compile(rf"[−+-]?{_NUMBER}(?:\s?(?:of|to|from|and|by|×|/|–)\s?[−+-]?{_NUMBER})?")
DAY = re.compile(
    r"\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)[a-z]*,? \d{1,2}(?: [JFMASOND][a-z]{2,8})?(?: \d{4})?\b"
    r"|\b\d{1,2} (?:Jan|Feb|Mar|Apr|May|Jun|Jul"
    r"|Aug|Sep|Oct|Nov|Dec)[a-z]*\.?(?: \d{4})?|\b\d{1,2}:\d\d\b|\b20\d\d-\d\d-\d\d\b"
)
WEEKDAY = re.compile(r"\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)[a-z]*\b")
ENDS = re.compile(r"(?<=[.?!…])[”’\"')]*\s+(?=[A-Z“‘(\d{])")
# What is to be done, step by step, is a list of counts.
DOSE = re.compile(r"\b\d+ (?:reps|balls|sets of \d+(?: reps)?)(?:[ ,.]|$)(?!.*\bclean\b)")
# A club by its loft, and a number to call.
NAMES = re.compile(r"\d+°|\+?\d[\d ]{7,}\d")
QUOTED = re.compile(r"“[^”]*”|‘[^’]*’")


@dataclass(frozen=True)
class Sentence:
    text: str
    is_folded: bool = False  # Under “How was this worked out?”.

    @property
    def is_whole(self) -> bool:
        """It ends as a sentence does; what does not is a label or a row of a ledger."""
        return self.text.rstrip("”’\"')").endswith((".", "?", "!"))

    @property
    def shape(self) -> str:
        """The same for sentences that differ in their figures and days alone."""
        return re.sub(r"\d[\d,.:/]*", "0", DAY.sub("0", WEEKDAY.sub("Monday", self.text)))

    @property
    def words(self) -> int:
        """Words of ours: what somebody typed is quoted, and is one."""
        return len(re.findall(r"\w[\w’'.:,/%-]*", DAY.sub("then", QUOTED.sub("Q", self.text))))

    @property
    def figures(self) -> int:
        """Days and times of day say when; every other number is a figure."""
        said = self.text.partition("such as")[0]  # An example of what to type is none.
        return len(FIGURE.findall(DAY.sub("then", NAMES.sub("", QUOTED.sub("", said)))))

    @property
    def grade(self) -> float:
        words = re.findall(r"[^\W\d_]+(?:[’'][^\W\d_]+)?", self.text)
        if not words:
            return 0.0
        syllables = sum(max(1, syllapy.count(word.lower().replace("’", "'"))) for word in words)
        return 0.39 * len(words) + 11.8 * syllables / len(words) - 15.59

    def faults(self) -> list[str]:
        if self.is_folded:
            return []
        if DOSE.search(self.text):
            return []
        if not self.is_whole:
            return [f"{self.words} words"] if self.words > WORDS_AT_MOST else []
        found = []
        if self.words > WORDS_AT_MOST:
            found.append(f"{self.words} words")
        if self.figures > FIGURES_AT_MOST:
            found.append(f"{self.figures} figures")
        if self.words >= GRADED_FROM and self.grade > GRADE_AT_MOST:
            found.append(f"grade {self.grade:.1f}")
        return found


def sentences(text: str, is_folded: bool = False) -> list[Sentence]:
    text = " ".join(text.split())
    found = [piece for each in ENDS.split(text) for piece in pieces(each)]
    return [Sentence(each, is_folded) for each in found if re.search(r"[A-Za-z]{2}", each)]


def pieces(text: str) -> list[str]:
    """Rows of a ledger by what stands between their marks; a heading before a sentence apart."""
    if Sentence(text).is_whole:
        return re.split(r" · |:\s+(?=[A-Z“])", text)
    return re.split(r"\s*[·:;,]\s+", text)


BLOCKS = {
    "address", "article", "aside", "blockquote", "body", "br", "button", "caption", "dd", "details",
    "div", "dl", "dt", "fieldset", "figcaption", "figure", "footer", "form", "h1", "h2", "h3", "h4",
    "header", "hr", "input", "label", "legend", "li", "main", "nav", "ol", "option", "p", "pre",
    "section", "select", "summary", "table", "tbody", "td", "textarea", "tfoot", "th", "thead",
    "title", "tr", "ul",
}  # fmt: skip
SILENT = {"script", "style", "svg", "head", "template", "datalist"}
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "wbr"}


@dataclass
class Page(HTMLParser):
    """The running text of a page, block by block."""

    found: list[Sentence] = field(default_factory=list)

    def __post_init__(self):
        super().__init__(convert_charrefs=True)
        self.open: list[tuple[str, bool]] = []  # Each element, and whether it is silent.
        self.text, self.fold = "", 0
        self.ended_link = False  # Nothing has been said since a link ended.

    def handle_starttag(self, tag, attrs):
        if tag in BLOCKS:
            self.flush()
        if tag == "a" and self.ended_link:
            self.flush()  # One link after another is a row of links, no sentence.
        if tag in VOID:
            return
        self.open.append((tag, tag in SILENT))

    def handle_endtag(self, tag):
        if tag in BLOCKS:
            self.flush()
        if tag == "details":
            self.fold = 0
        while self.open and self.open.pop()[0] != tag:
            pass
        self.ended_link = tag == "a"

    def handle_data(self, data):
        if not any(silent for _, silent in self.open):
            self.text += data
            self.ended_link = self.ended_link and not data.strip()

    def flush(self):
        text, self.text = self.text, ""
        if text.strip().startswith(WORKED_OUT[:-1]):
            self.fold = 1
        self.found += sentences(text, bool(self.fold))


def sentences_of(page: str) -> list[Sentence]:
    reader = Page()
    reader.feed(page)
    reader.flush()
    return reader.found
