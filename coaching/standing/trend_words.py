"""A trend in words for the coach: figures first, a question and no cause."""

from math import floor

from coaching.standing.phrases import listed, many, number, percent
from coaching.standing.trend import Away, Drift, Trend, Word


def shares_words(trend: Trend) -> str:
    """'68 %, excused, 70 %': what the small bars show."""
    return ", ".join(
        f"{percent(share)} %"
        if share is not None
        else ("excused" if index in trend.excused else "nothing asked")
        for index, share in enumerate(trend.shares)
    )


def trend_words(trend: Trend) -> str:
    """'' unless there is something to say."""
    known = trend.known
    if trend.word is Word.SLIDE:
        return (
            f"A slow slide over {many(len(known), 'week')}: "
            f"{listed(str(percent(s)) for s in known)} %. One week does not look like this; "
            "ask what has changed."
        )
    if trend.word is Word.LIGHTER:
        return (
            f"One lighter week: {percent(known[-1])} %, usual {percent(trend.usual or 0)} %. "
            "One week is no trend."
        )
    return ""


def drift_words(drift: Drift) -> str:
    """'' while the time since the last practice is as usual."""
    if drift.word not in {Away.LONGER, Away.DRIFTING}:
        return ""
    days = f"{drift.days} days without practice; the longest gap in eight weeks was {drift.longest}"
    if drift.word is Away.DRIFTING:
        return f"May be drifting away: {days}."
    return f"Longer than usual: {days}."


def worked_out(trend: Trend, drift: Drift) -> tuple[str, ...]:
    """The arithmetic behind both."""
    lines = [f"Credit of the last {number(len(trend.shares))} weeks: {shares_words(trend)}."]
    if trend.p is None:
        lines.append("Six known weeks are needed before a slide can be told from chance.")
    else:
        lines.append(
            "The chance of an order that falls as much by itself (Mann-Kendall, one-sided, exact) "
            f"is {trend.p:.3f}. A slide is called at 0.05 or less, if the last three weeks also "
            "lie 15 points or more below the first three."
        )
    if drift.longest is None:
        lines.append("Fewer than five days of practice in eight weeks: no rhythm to go by.")
    else:
        lines.append(
            f"{drift.days} open {'day' if drift.days == 1 else 'days'} since the last practice; "
            f"the gaps of eight weeks had a median of {floor((drift.usual or 0) * 10) / 10:g} and "
            f"a longest of {drift.longest} days. Beyond the longest it is longer than usual; from "
            "twice that and a week on, drifting away may be asked about."
        )
    return tuple(lines)
