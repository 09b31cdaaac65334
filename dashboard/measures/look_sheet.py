"""The sheet of second looks that are still to be made: to fill in, and then to load."""

from __future__ import annotations

import pandas as pd

from dashboard.measures.rows import each

#: As the loader takes them, and which of them are known before anybody has looked.
COLUMNS = ("report_id", "observation_no", "looked_by", "looked_on", "chosen", "ruling", "reason")
_KNOWN = ("report_id", "observation_no", "chosen")


def sheet(asked: pd.DataFrame) -> pd.DataFrame:
    """A line for each observation, blank where the person who looks has to say it.

    Parameters
    ----------
    asked
        report_id, observation_no, chosen; more columns are left aside.
    """
    return pd.DataFrame({column: asked[column] if column in _KNOWN else "" for column in COLUMNS}, index=asked.index)


def sheet_of(looks: pd.DataFrame) -> pd.DataFrame:
    """The lines for rows of ``looks_to_make``, in their order."""
    # The id of an observation is its report's, a colon, and its number in the report.
    numbers = [row.observation_id.removeprefix(f"{row.report_id}:") for row in each(looks)]
    return sheet(looks.assign(observation_no=numbers, chosen=looks["how"]))
