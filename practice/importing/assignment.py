"""Which of several things each column is, where no two columns are the same thing. Pure."""

from collections.abc import Sequence


def assigned(scores: Sequence[Sequence[float]], least: float) -> dict[int, int]:
    """For each column its field, so that the scores are greatest together.

    `scores` has a row a column and a place a field. What is worth no more than `least` is left
    out; of two columns alike the first is taken.
    """
    import numpy as np
    from scipy.optimize import linear_sum_assignment

    if not scores or not scores[0]:
        return {}
    worth = np.asarray(scores, dtype=float)
    many, fields = worth.shape
    worth = worth - 1e-6 * np.arange(many)[:, None]
    # To leave a column out is worth `least`, each in a place of its own.
    out = np.full((many, many), -1.0)
    np.fill_diagonal(out, least)
    chosen = zip(*linear_sum_assignment(np.hstack([worth, out]), maximize=True), strict=True)
    return {int(row): int(place) for row, place in chosen if place < fields}
