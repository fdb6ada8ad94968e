"""Why the chance gives a word, as the board says it beside a name: every shape it can take."""

from dataclasses import replace
from itertools import product

import pytest

from coaching.forecast import deciding
from coaching.forecast.forecast import Forecast
from coaching.forecast.panel import By
from tests.reading.sentences import sentences

SAID = Forecast(
    chance=0.35, needed=146.0, weeks=12, own_share=0.6, days=2.4, minutes=119.0, enough=0.85,
    alone=0.34, through=10, told=24,
)  # fmt: skip


@pytest.mark.parametrize("by", By)
def test_every_reason_can_be_said_aloud(by):
    shapes = (
        {}, {"needed": 0.0}, {"days": 0.2}, {"days": 1.0}, {"cycle": 10}, {"told": 0},
        {"told": 1, "through": 1},
    )  # fmt: skip
    spans = [(0, 6), (3, 4), (2, 6), (6, 6), (5, 6)]
    found = [
        each
        for shape, (first, last) in product(shapes, spans)
        for each in sentences(deciding.reason(replace(SAID, by=by, **shape), first, last))
    ]
    assert len(found) > 10
    faults = {f"{', '.join(each.faults())}: {each.text}" for each in found if each.faults()}
    assert not faults, "\n".join(sorted(faults))
