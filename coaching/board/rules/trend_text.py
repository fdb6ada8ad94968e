"""A trend in words for the coach: figures first, a question and no cause."""

from math import floor

from coaching.board.rules.trend import Away, CreditTrend, Drift, Word
from shared.kit.text import many
from shared.kit.text import whole_percent as percent


def shares_words(trend: CreditTrend) -> str:
    """'68 %, excused, 70 %': what the small bars show."""
    return ", ".join(
        f"{percent(share)} %"
        if share is not None
        else ("excused" if index in trend.excused else "nothing asked")
        for index, share in enumerate(trend.shares)
    )


def finished_of(trend: CreditTrend) -> str:
    """'6 of 8': weeks that were finished, of those that asked something; '' where none did."""
    return f"{trend.finished} of {len(trend.known)}" if trend.known else ""


def weeks_before(trend: CreditTrend) -> str:
    """'3 weeks before: 68 %, excused, 70 %'; '' where none is known."""
    return f"{len(trend.shares)} weeks before: {shares_words(trend)}" if trend.shares else ""


def trend_words(trend: CreditTrend) -> str:
    """'' unless there is something to say."""
    known = trend.known
    if trend.word is Word.SLIDE:
        return (
            f"Less and less over {many(len(known), 'week')}: "
            f"from {percent(known[0])} to {percent(known[-1])} %. Ask what has changed."
        )
    if trend.word is Word.LIGHTER:
        return f"One lighter week: {percent(known[-1])} %, usually {percent(trend.usual or 0)} %."
    return ""


def drift_words(drift: Drift) -> str:
    """'' while the time since the last practice is as usual."""
    if drift.word not in {Away.LONGER, Away.DRIFTING}:
        return ""
    days = (
        f"{drift.days} days without practice. The longest gap in eight weeks was {drift.longest}."
    )
    if drift.word is Away.DRIFTING:
        return f"{days} Ask whether all is well."
    return days


def worked_out(trend: CreditTrend, drift: Drift) -> tuple[str, ...]:
    """The arithmetic behind both."""
    lines = []
    if trend.shares:
        weeks = many(len(trend.shares), "week")
        lines.append(f"Credit of the last {weeks}: {shares_words(trend)}.")
    if trend.p is None:
        lines.append("Six known weeks are needed before a slide can be told from chance.")
    else:
        lines.append(
            "The chance of an order that falls as much by itself (Mann-Kendall, one-sided, exact) "
            f"is {trend.p:.3f}. A slide is called at 0.02 or less, because neighbouring weeks are "
            "alike, if the last three weeks also lie 15 points or more below the first three. Of "
            "100 whose practice stays, at most five are told so in any one week."
        )
    if drift.usual is None:
        lines.append("Fewer than five days of practice in eight weeks: no rhythm to go by.")
    else:
        lines.append(
            f"{drift.days} open {'day' if drift.days == 1 else 'days'} since the last practice; "
            f"the gaps of eight weeks had a median of {floor(drift.usual * 10) / 10:g} and "
            f"a longest of {drift.longest} days. Beyond the longest it is longer than usual; from "
            "twice that and a week on, drifting away may be asked about."
        )
    return tuple(lines)
