"""Those who took part in a session against those who did not: who is compared, the effect, what more it would take."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.measures.training_counts import Trials
from dashboard.measures.training_windows import Plan, Span, touched_topics, trained_elsewhere
from dashboard.stats import before_after
from dashboard.stats.before_after import LEAST_PEOPLE, Corrected, Effect, Window
from dashboard.stats.permutation import least_p
from dashboard.stats.power import ALPHA

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_ROUNDING = 1e-6


@dataclass(frozen=True)
class Compared:
    """Those of whom a change is known; arrays over them.

    Attributes
    ----------
    before, after
        Their windows.
    trained
        Whether they took part.
    codes
        Their places among all people.
    controls
        Topics that may stand in for other people.
    """

    before: Window
    after: Window
    trained: Flags
    codes: NDArray[np.intp]
    controls: int = 0

    @property
    def kind(self) -> str:
        """``between`` people; ``within`` them, where all were trained and there are controls; or ``figures`` only."""
        n_trained, n_others = int(self.trained.sum()), int((~self.trained).sum())
        if n_trained >= LEAST_PEOPLE and n_others >= LEAST_PEOPLE:
            return "between"
        return "within" if n_trained >= LEAST_PEOPLE and not n_others and self.controls else "figures"

    @property
    def change(self) -> Array:
        return self.after.level - self.before.level

    @property
    def weight(self) -> Array:
        return before_after.worth(self.before.trials, self.after.trials)

    @property
    def luck(self) -> Array:
        return self.before.luck + self.after.luck

    def sides(self) -> tuple[float, float]:
        """The mean change of those who took part and of the others; NaN of none."""
        return mean_of(self.change, self.weight, self.trained), mean_of(self.change, self.weight, ~self.trained)


@dataclass(frozen=True)
class Told:
    """The effect, and the same less what regression to the mean alone predicts.

    Attributes
    ----------
    elsewhere
        The mean change in the topics that stand in for other people; NaN where there are others.
    """

    plain: Effect
    corrected: Corrected
    elsewhere: float = np.nan


@dataclass(frozen=True)
class Needed:
    """What it would take until half of the share would show.

    Attributes
    ----------
    decks
        Further trials after the session, both windows growing alike; None where no number would do.
    lacking
        ``decks``; ``before`` where the window before cannot grow so long; where no number would do ``people`` (too few
        for any p below 0.05) or ``write_ups`` (there was none before); None where there is enough.
    """

    decks: int | None
    lacking: str | None


class Session:
    """One topic of a session, and the trials that tell of it."""

    def __init__(self, plan: Plan, scored: pd.DataFrame, judged: pd.DataFrame, attendances: pd.DataFrame) -> None:
        self.plan, self.attendances = plan, attendances
        self.scored, self.judged = scored, judged[judged["topic"] == plan.topic]
        own = scored[scored["topic"] == plan.topic]
        self.people = sorted(set(own["inspector_id"]) | plan.took_part)
        self.took_part = np.isin(self.people, list(plan.took_part))
        self.trials = Trials.of(own, self.people)
        self.touched = touched_topics(attendances, plan)
        self.controls = len(set(scored["topic"]) - self.touched)

    def compared(self, trials: Trials, after: Span) -> Compared:
        """Those with trials in both windows, without those who were trained elsewhere meanwhile."""
        windows = trials.window(self.plan.before), trials.window(after)
        aside = trained_elsewhere(self.attendances, self.plan, max(after.end, self.plan.before.end))
        known = (windows[0].trials > 0) & ~np.isin(self.people, list(aside))
        if after.days:
            known &= windows[1].trials > 0
        return Compared(
            windows[0].of(known), windows[1].of(known), self.took_part[known], np.flatnonzero(known), self.controls
        )

    def told(self, found: Compared, after: Span) -> Told:
        """The effect on those compared; not for figures alone."""
        if found.kind == "within":
            return self._against_controls(found, after)
        plain = before_after.between(found.change, found.weight, found.trained)
        # What is usual for people is told by all time before the session.
        past = self.trials.window(self.plan.history).of(np.isin(np.arange(len(self.people)), found.codes))
        level, luck, center = found.before.level, found.before.luck, mean_of(found.before.level, found.before.trials)
        usual = before_after.spread(past.level, past.luck)
        fallen = [before_after.falls_back(level, luck, of, center) for of in (usual.value, usual.low, usual.high)]
        sides = [mean_of(of, found.weight, found.trained) - mean_of(of, found.weight, ~found.trained) for of in fallen]
        less = before_after.between(found.change - fallen[0], found.weight, found.trained).permuted
        return Told(plain, before_after.less_regression(less, (sides[0], sides[1], sides[2])))

    def _against_controls(self, found: Compared, after: Span) -> Told:
        """Everyone was trained: the same people's other topics stand in for other people."""
        trials = Trials.of(self.scored[~self.scored["topic"].isin(self.touched)], self.people)
        there = np.isin(np.arange(len(self.people)), found.codes)
        before, then = trials.window(self.plan.before).of(there), trials.window(after).of(there)
        elsewhere = np.nan_to_num(then.level - before.level)
        change, fallen = found.change - elsewhere, self._topic_falls_back()
        plain, less = (before_after.within(of, found.weight) for of in (change, change - fallen[0]))
        return Told(plain, before_after.less_regression(less.permuted, fallen), mean_of(elsewhere, found.weight))

    def _topic_falls_back(self) -> tuple[float, float, float]:
        """What luck alone is expected to take from a topic that was chosen by its own window, less that of controls."""
        kept = self.scored[~self.scored["topic"].isin(self.touched - {self.plan.topic})]
        topics = sorted(set(kept["topic"]))
        window = Trials.of(kept, topics, by="topic").window(self.plan.before)
        known = window.trials > 0
        window, own = window.of(known), np.array(topics)[known] == self.plan.topic
        usual, center = before_after.spread(window.level, window.luck), mean_of(window.level, window.trials)
        fallen = []
        for spread in (usual.value, usual.low, usual.high):
            each = before_after.falls_back(window.level, window.luck, spread, center)
            fallen.append(float(each[own].sum()) - (mean_of(each, window.trials, ~own) if (~own).any() else 0.0))
        return fallen[0], fallen[1], fallen[2]

    def needed(self, found: Compared, told: Told | None) -> Needed:
        """How many more trials after the session until half of the share would show, and what is in the way."""
        own = found.trained
        groups = own if found.kind == "between" else None
        before, events = float(found.before.trials[own].sum()), float(found.before.observed[own].sum())
        if least_p(own if groups is not None else own.size) > ALPHA:
            return Needed(None, "people")
        if not events:
            return Needed(None, "write_ups")
        # Where there is no time after as yet, the colleagues are taken to look at as many decks as before.
        after = found.after.trials if self.plan.begun else found.before.trials
        scattered = before_after.scatter(found.change, found.weight, found.luck, groups) if told else 1.0
        times = before_after.times_needed(found.before.trials, after, groups, events / before, scattered)
        more = int(np.ceil((times - self.plan.begun) * after.sum() - _ROUNDING))
        if more <= 0:
            return Needed(0, None)
        return Needed(more, "decks" if times <= self.plan.most_before else "before")

    def signal(self, told: Told | None) -> str | None:
        """Whether those who took part moved beyond luck; less regression where the baseline is not clean."""
        if told is None:
            return None
        if self.plan.clean:
            beyond, estimate = told.plain.permuted.p <= ALPHA, told.plain.permuted.estimate
        else:
            beyond, estimate = told.corrected.low > 0 or told.corrected.high < 0, told.corrected.estimate
        return "none" if not beyond else "lower" if estimate < 0 else "higher"


def mean_of(values: Array, weights: Array, own: Flags | None = None) -> float:
    """The weighted mean of some; NaN of none."""
    kept = np.ones(len(values), bool) if own is None else own
    return float(np.average(values[kept], weights=weights[kept])) if kept.any() else np.nan
