"""How many visits a season still has. The figures are worked by hand from the house's rule."""

import pytest

from coaching.season.left import in_words, visits_left


def test_the_rate_is_the_middle_of_the_weeks():
    left = visits_left(11, [2, 2, 1, 9, 3, 2], [4, 4, 4, 4, 1, 4])
    assert (left.usual, left.asked, left.n) == (2, 4, 6)
    assert (left.at_usual, left.as_asked) == (22, 44)


def test_half_a_visit_a_week_makes_whole_visits():
    assert visits_left(5, [1, 2, 1, 2], [3, 3, 3, 3]).at_usual == 7  # 5 times 1.5 is 7.5.


def test_three_weeks_are_enough_and_two_are_not():
    assert visits_left(4, [1, 1, 1], [2, 2, 2]).at_usual == 4
    assert visits_left(4, [1, 1], [2, 2]) is None


@pytest.mark.parametrize(("weeks", "done", "asked"), [(-1, [1], [1]), (1, [1], [1, 1])])
def test_what_cannot_be_is_refused(weeks, done, asked):
    with pytest.raises(ValueError, match="As many weeks done as asked"):
        visits_left(weeks, done, asked)


@pytest.mark.parametrize(
    ("weeks", "done", "asked", "said"),
    [
        (0, [1, 1, 1], [2, 2, 2], "No weeks are left in this season."),
        (1, [1], [2], "1 week left. It is too soon to say how many visits. We know 1 week and"),
        (2, [], [], "2 weeks left. It is too soon to say how many visits. We know 0 weeks and"),
        (
            2,
            [1, 1, 1],
            [2, 2, 2],
            (
                "2 weeks left. With the usual 1 visit a week that makes 2 more visits, not the 4 "
                "asked. The usual comes from 3 past weeks."
            ),
        ),
        (
            1,
            [1, 1, 1],
            [1, 1, 1],
            "1 week left. With the usual 1 visit a week that makes 1 more visit.",
        ),
        (
            1,
            [2, 2, 2],
            [2, 2, 2],
            "1 week left. With the usual 2 visits a week that makes 2 more visits. The usual",
        ),
    ],
)
def test_in_words(weeks, done, asked, said):
    assert in_words(visits_left(weeks, done, asked), weeks, len(done)).startswith(said)
