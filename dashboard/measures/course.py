"""The smoothed course of a share over months: where it has slowly gone, the mix of decks taken out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dashboard.stats import control_charts

COLUMNS = ("course", "course_low", "course_high")
#: A year is too long a step for a course to follow anything.
_TOO_LONG = 12


def with_course(table: pd.DataFrame, months_a_step: int) -> pd.DataFrame:
    """The table with ``course``, ``course_low`` and ``course_high``, all shares of trials.

    Parameters
    ----------
    table
        One row a month (or quarter, year) x topic: month, topic, phase, trials, count, expected, variance (of the count
        by luck, as far as clusters and scatter widen it).
    months_a_step
        How many months a row stands for.

    Returns
    -------
    DataFrame
        course is what is expected over all the phase, so that the mix of a month's decks does not move it, and what has
        of late been beyond expectation, smoothed (:func:`dashboard.stats.control_charts.course`); low and high are
        three of its standard deviations by luck off what is expected. Each phase begins anew. Missing in the month of a
        session, and where a step is a year.
    """
    told = table[table["phase"] >= 0] if months_a_step < _TOO_LONG else table.head(0)
    parts = [_of_phase(own, months_a_step) for _, own in told.groupby(["topic", "phase"], sort=False)]
    if not parts:
        return table.assign(**dict.fromkeys(COLUMNS, np.nan))
    return table.join(pd.concat(parts))


def _of_phase(own: pd.DataFrame, months_a_step: int) -> pd.DataFrame:
    """The course of one topic in one phase; steps that have no row are steps without trials."""
    month = own["month"].to_numpy().astype("datetime64[M]").astype(np.int64)
    step = (month - month.min()) // months_a_step
    steps = pd.DataFrame(
        {"excess": own["count"] - own["expected"], "size": own["trials"], "variance": own["variance"]}
    ).set_axis(step)
    steps = steps.reindex(np.arange(step.max() + 1), fill_value=0.0).astype(float)
    found = control_charts.course(steps["excess"], steps["size"], steps["variance"])
    expected = float(own["expected"].sum() / own["trials"].sum())
    excess, reach = found.excess[step], control_charts.REACH * found.deviation[step]
    ends = (expected + excess, expected - reach, expected + reach)
    return pd.DataFrame(
        {name: np.clip(end, 0.0, 1.0) for name, end in zip(COLUMNS, ends, strict=True)}, index=own.index
    )
