"""Firms whose truth is known: visits, trials and judged kinds as the warehouse would give them, drawn with numpy alone.

Topics, kinds of case and their shares are those of the sample firm (``sample_warehouse/kinds.toml``), and so are calls
and what gets measured. The decks differ more than there: each builder and each region has its own share of every fault,
and a badly kept deck has more of all of them than its age tells. Every inspector has another mix of regions, ages and
builders and another number of reports; only the inspector who may be odd has the average number of them. What an
inspector does that peers do not is in the :class:`Plan` alone.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import expit, logit

from sample_warehouse.truth import Kind, Topic, parameters, topics

Array = NDArray[np.float64]
Codes = NDArray[np.intp]
Flags = NDArray[np.bool_]

CALLS = ("written_up", "referred", "advised", "passed")
ODD = 0  # the inspector whose decks or habits are unlike those of the others
TEMPTING = ("hanger_size", ("one_down", "one_down_measured"))  # sound, and looks like a fault
WIDE = ("joist_gap", ("wide",))  # a defect that is easy to pass over

_BUILDER_SPREAD, _REGION_SPREAD, _SEASON_SPREAD = 0.35, 0.3, 0.1  # of a fault's log-odds
_CONDITION_SPREAD = 0.4  # of decks of equal age: the same draw for all faults of a deck
_YEARS = 4


@dataclass(frozen=True)
class Habit:
    """How often one call is made on cases of some kinds: by the odd inspector, and by the others.

    As in the sample firm, shares are of the cases whose measures were written down, so that they are those that a reader
    of the reports finds.
    """

    topic: str
    kinds: tuple[str, ...]
    call: str
    own: float
    by_peers: float


def overcaller(own: float) -> Habit:
    """Sound cases that tempt: peers write up one in ten."""
    return Habit(*TEMPTING, "written_up", own, 0.10)


def misser(own: float) -> Habit:
    """Wide gaps: peers pass over 12 in a hundred."""
    return Habit(*WIDE, "passed", own, 0.12)


@dataclass(frozen=True)
class Plan:
    """What is planted in a firm.

    Attributes
    ----------
    n_inspectors, n_reports
        Of the firm.
    decks
        Of the odd inspector: ``alike``, ``old`` (25 years and more), ``one_builder`` (whose decks have deck screws in
        the hangers more often than others) or ``alone`` (in a region that nobody else covers).
    habits
        On which kinds of case the odd inspector differs.
    spread
        Standard deviation of inspectors around each other, log-odds of a write-up, a draw for each topic.
    kept
        Share of calls whose measures are kept: of write-ups, and of all other calls; as in the sample firm where None.
    topics
        Which topics the reports speak of; all of them where None.
    """

    n_inspectors: int = 12
    n_reports: int = 2500
    decks: str = "alike"
    habits: tuple[Habit, ...] = field(default=(overcaller(0.10), misser(0.12)))
    spread: float = 0.0
    kept: tuple[float, float] | None = None
    topics: tuple[str, ...] | None = None


@dataclass(frozen=True)
class SimulatedFirm:
    """A firm with its truth.

    Attributes
    ----------
    visits, trials
        As ``visits.sql`` and ``visit_trials.sql`` give them. Trials have further columns that no inspector knows: the
        kind and its true standing.
    chances
        Trials x inspectors: the chance that each would have written this up.
    """

    visits: pd.DataFrame
    trials: pd.DataFrame
    chances: Array

    @property
    def odd(self) -> str:
        return _name(ODD)

    @cached_property
    def who(self) -> NDArray[np.object_]:
        """The inspector of each trial."""
        return self.visits["inspector_id"].to_numpy()[self.trials["visit"].to_numpy()]

    def true_ratios(self, topic: str, flagged: Flags) -> Array:
        """Write-ups that each inspector's habit leads to on the own decks, over those of the peers' habits there.

        Peers are the others of the region who are not flagged, each with the weight of the own trials there: what the
        product says of flagged colleagues is that they do not move what is expected.
        """
        rows = np.flatnonzero(self.trials["seen"].to_numpy(bool) & (self.trials["topic"] == topic).to_numpy())
        visit = self.trials["visit"].to_numpy()[rows]
        people, who = np.unique(self.visits["inspector_id"].to_numpy(str), return_inverse=True)
        _, region = np.unique(self.visits["region"].to_numpy(str), return_inverse=True)
        who, region, chances = who[visit], region[visit], self.chances[rows]
        trials = np.zeros((region.max() + 1, people.size))
        np.add.at(trials, (region, who), 1)
        weight = np.where(flagged, 0, trials)[region]
        weight[np.arange(rows.size), who] = 0
        with np.errstate(invalid="ignore", divide="ignore"):
            by_peers = (weight * chances).sum(axis=1) / weight.sum(axis=1)
            own = np.bincount(who, chances[np.arange(rows.size), who], people.size)
            return own / np.bincount(who, by_peers, people.size)

    def judged_kinds(self) -> pd.DataFrame:
        """As ``judged_kinds.sql`` gives them."""
        rows = self.trials.assign(inspector_id=self.who)
        rows = rows[rows["seen"] & rows["verdict"].isin(["defect", "acceptable"])]
        side = np.where(rows["verdict"] == "defect", "defect", "sound")
        rows = rows.assign(side=side, kinds=rows["kind"], wrong=rows["overcalled"] | rows["missed"])
        grouped = rows.groupby(["inspector_id", "topic", "side", "kinds"])["wrong"]
        return grouped.agg(trials="size", wrong="sum").reset_index()

    def call_classes(self) -> pd.DataFrame:
        """As ``call_classes.sql`` gives them; there are no second looks."""
        rows = self.trials.assign(inspector_id=self.who)
        rows = rows[rows["seen"] & (rows["verdict"] != "judgment")]
        told = {
            "call": np.where(rows["call"].isin(["written_up", "referred"]), rows["call"], "other"),
            "judged": rows["verdict"] != "cannot_tell",
            "defects": rows["verdict"] == "defect",
        }
        grouped = rows.assign(**told).groupby(["inspector_id", "topic", "call"])
        counts = grouped.agg(trials=("judged", "size"), judged=("judged", "sum"), defects=("defects", "sum"))
        return counts.assign(looked=0, looked_defects=0).reset_index()


def draw(plan: Plan, seed: int | tuple[int, ...]) -> SimulatedFirm:
    """A firm of the plan; the same seed gives the same firm."""
    random = np.random.default_rng(seed)
    visits = _visits(plan, random)
    shift = plan.spread * random.standard_normal((len(topics()), plan.n_inspectors))
    nature = _Nature(visits, random)
    asked = [at for at, topic in enumerate(topics()) if plan.topics is None or topic in plan.topics]
    parts = [_trials(at, plan, visits, nature, shift[at], random) for at in asked]
    trials = pd.concat([part for part, _ in parts], ignore_index=True)
    order = np.lexsort((trials["topic"].to_numpy(str), trials["visit"].to_numpy()))
    chances = np.concatenate([likely for _, likely in parts])[order]
    return SimulatedFirm(_reported(visits, random), trials.iloc[order].reset_index(drop=True), chances)


def _name(inspector: int) -> str:
    return f"P{inspector:02d}"


# ---- who sees which decks --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Visits:
    """Arrays over visits (report x deck), but for those named after decks."""

    report: Codes
    deck: Codes
    inspector: Codes
    day: Codes  # from the first day of the firm on
    deck_region: Codes
    deck_age: Array  # at the first visit, years
    deck_builder: Codes
    deck_height: Array
    n_regions: int
    n_builders: int
    builder_always_known: Flags  # by visit


def _visits(plan: Plan, random: np.random.Generator) -> _Visits:
    shares = parameters()
    covers = _coverage(plan, random)
    pairs = round(plan.n_reports * shares["visits"]["pairs_share"])
    first = plan.n_reports - pairs
    place = random.choice(covers.size, first, p=covers.ravel())
    inspector, region = np.divmod(place, covers.shape[1])
    age = _ages(plan, inspector, random)
    builder = _builders(plan, inspector, random)
    day = random.integers(0, 365 * _YEARS, first)
    # A second inspector of the region sees the decks of some reports again, within two months.
    again = random.choice(np.flatnonzero(region < 3), pairs, replace=False)
    other = np.array([_another(covers, inspector[at], region[at], plan, random) for at in again], np.intp)
    decks = 1 + (random.random(first) < shares["visits"]["two_decks_share"])
    report_of_deck = np.repeat(np.arange(first), decks)
    typical = np.array([entry["typical_height_in"] for entry in shares["region"]])
    height = typical[region[report_of_deck]] * np.exp(0.55 * random.standard_normal(report_of_deck.size))
    seen_again = np.isin(report_of_deck, again)
    second = np.full(first, -1)
    second[again] = np.arange(pairs)
    at_second = second[report_of_deck[seen_again]]
    who = np.concatenate([inspector[report_of_deck], other[at_second]])
    return _Visits(
        report=np.concatenate([report_of_deck, first + at_second]),
        deck=np.concatenate([np.arange(report_of_deck.size), np.flatnonzero(seen_again)]),
        inspector=who,
        day=np.concatenate([day, day[again] + random.integers(4, 59, pairs)])[
            np.concatenate([report_of_deck, first + at_second])
        ],
        deck_region=region[report_of_deck],
        deck_age=age[report_of_deck],
        deck_builder=builder[report_of_deck],
        deck_height=np.clip(np.round(height), 8, 230),
        n_regions=covers.shape[1],
        n_builders=len(shares["builders"]["names"]),
        builder_always_known=(who == ODD) & (plan.decks == "one_builder"),
    )


def _coverage(plan: Plan, random: np.random.Generator) -> Array:
    """The share of all reports of each inspector x region; the fourth region is for whoever is alone there."""
    workload = random.lognormal(0, 0.3, plan.n_inspectors)
    workload[ODD] = workload[ODD + 1 :].mean()
    covers = np.zeros((plan.n_inspectors, 4))
    home = np.arange(plan.n_inspectors) % 3
    covers[np.arange(plan.n_inspectors), home] = 1
    further = random.random(plan.n_inspectors) < 0.6
    covers[further, (home + random.integers(1, 3, plan.n_inspectors))[further] % 3] = 0.4
    if plan.decks == "alone":
        covers[ODD] = [0, 0, 0, 1]
    covers *= (workload / covers.sum(axis=1))[:, None]
    return covers / covers.sum()


def _ages(plan: Plan, inspector: Codes, random: np.random.Generator) -> Array:
    """Age at the visit: everybody's mix of age bands is their own."""
    bands = np.array(parameters()["decks"]["ages"])
    mixes = random.dirichlet(8 * bands[:, 2], plan.n_inspectors)
    band = _picked(mixes[inspector], random)
    low, high = bands[band, 0], bands[band, 1] + 1
    if plan.decks == "old":
        low, high = np.where(inspector == ODD, 25, low), np.where(inspector == ODD, 47, high)
    return low + (high - low) * random.random(inspector.size)


def _builders(plan: Plan, inspector: Codes, random: np.random.Generator) -> Codes:
    """Builders, known or not; the first has a real problem."""
    shares = parameters()["builders"]
    others = (1 - shares["problem_share"]) / (len(shares["names"]) - 1)
    mean = np.array([shares["problem_share"], *[others] * (len(shares["names"]) - 1)])
    mixes = random.dirichlet(25 * mean, plan.n_inspectors)
    if plan.decks == "one_builder":
        mixes[ODD] = np.eye(mean.size)[0]
    return _picked(mixes[inspector], random)


def _picked(shares: Array, random: np.random.Generator) -> Codes:
    """A column for each row, as likely as its share."""
    above = np.cumsum(shares, axis=1) < random.random(len(shares))[:, None]
    return np.minimum(above.sum(axis=1), shares.shape[1] - 1)


def _another(covers: Array, inspector: int, region: int, plan: Plan, random: np.random.Generator) -> int:
    able = covers[:, region].copy()
    able[inspector] = 0
    if plan.decks != "alike":
        able[ODD] = 0
    return int(random.choice(able.size, p=able / able.sum()))


def _reported(visits: _Visits, random: np.random.Generator) -> pd.DataFrame:
    """What the reports know of the decks: ages and builders may be unknown, ages may be estimates."""
    shares = parameters()
    n_decks = visits.deck_age.size
    unknown = random.random(n_decks) < shares["decks"]["built_year_unknown_share"]
    estimated = ~unknown & (random.random(n_decks) < shares["decks"]["built_basis"]["estimate"])
    # An estimate is a round year, and never later than the true one.
    years = np.floor(visits.deck_age) + estimated * random.integers(0, 5, n_decks)
    no_height = random.random(n_decks) < shares["decks"]["height_unknown_share"]
    height = np.where(no_height, np.nan, visits.deck_height)[visits.deck]
    no_builder = random.random(n_decks) < shares["builders"]["unknown_share"]
    builder = np.where(no_builder, -1, visits.deck_builder)[visits.deck]
    builder = np.where(visits.builder_always_known, visits.deck_builder[visits.deck], builder)
    age = np.where(unknown, np.nan, years)[visits.deck]
    regions = np.array([entry["name"] for entry in shares["region"]], object)
    names = np.array([*shares["builders"]["names"], "unknown"], object)
    day = np.datetime64("2022-11-01") + visits.day.astype("timedelta64[D]")
    return pd.DataFrame(
        {
            "report_id": np.char.mod("R%06d", visits.report),
            "deck_id": np.char.mod("D%06d", visits.deck),
            "inspector_id": np.array([_name(at) for at in visits.inspector], object),
            "inspected_on": day.astype("datetime64[s]"),
            "region": regions[visits.deck_region[visits.deck]],
            "builder": names[builder],
            "deck_age": _banded(age, (5, 10, 15, 20, 30)),
            "deck_age_years": pd.array(age, "Int32"),
            "age_estimated": estimated[visits.deck],
            "deck_height": _banded(height, (31, 73, 121)),
            "season": _season(visits),
        }
    )


def _banded(values: Array, starts: tuple[int, ...]) -> NDArray[np.str_]:
    names = np.array([*(f"under {start}" for start in starts), f"{starts[-1]} and more", "unknown"])
    return names[np.where(np.isnan(values), len(starts) + 1, np.searchsorted(starts, values, side="right"))]


def _season(visits: _Visits) -> Codes:
    month = (np.datetime64("2022-11-01") + visits.day.astype("timedelta64[D]")).astype("datetime64[M]").astype(int)
    return month % 12 // 3 + 1


# ---- what the decks are like -----------------------------------------------------------------------------------------


class _Nature:
    """How decks differ: traits, condition, and what builders, regions and seasons do to each fault."""

    def __init__(self, visits: _Visits, random: np.random.Generator) -> None:
        n_decks, n_topics = visits.deck_age.size, len(topics())
        self.age = visits.deck_age[visits.deck]
        self.low = visits.deck_height[visits.deck] <= parameters()["not_seen"]["low_deck_up_to_in"]
        self.condition = _CONDITION_SPREAD * random.standard_normal(n_decks)[visits.deck]
        self.point = random.random((n_decks, n_topics))[visits.deck]
        self._builder = visits.deck_builder[visits.deck]
        self._traits = {name: held[visits.deck] for name, held in _traits(visits, random).items()}
        by_builder = _BUILDER_SPREAD * random.standard_normal((n_topics, visits.n_builders))
        by_region = _REGION_SPREAD * random.standard_normal((n_topics, visits.n_regions))
        by_season = _SEASON_SPREAD * random.standard_normal((n_topics, 4))
        where, when = visits.deck_region[visits.deck], _season(visits) - 1
        self._odds = np.exp(by_builder[:, self._builder] + by_region[:, where] + by_season[:, when])

    def holds(self, traits: tuple[str, ...]) -> Flags:
        return np.all([self._traits[name] for name in traits], axis=0) if traits else np.ones(self.age.size, bool)

    def shares(self, at: int, topic: Topic) -> Array:
        """Visits x kinds: how likely each kind of case is on each deck.

        Some topics are looked at in several places of a deck, where another kind may be found. The trial is then that
        of the kind that stands first in the list, as defects do.
        """
        shares = np.stack([self._share(at, topic, kind) for kind in topic.kinds[:-1]], axis=1)
        shares /= np.maximum(shares.sum(axis=1, keepdims=True) / 0.98, 1)
        later = 1 - np.cumsum(shares, axis=1)
        differs = 1 - parameters()["visits"]["same_kind_at_next_place_share"]
        not_yet = sum(
            share * later * (1 - differs + differs * later) ** further for further, share in enumerate(topic.places)
        )
        return -np.diff(np.column_stack([np.ones(len(shares)), not_yet, np.zeros(len(shares))]), axis=1)

    def _share(self, at: int, topic: Topic, kind: Kind) -> Array:
        share = np.full(self.age.size, kind.share or 0.0)
        planted = parameters()["planted"]["builder_with_a_problem"]
        if (topic.id, kind.name) == (planted["topic"], planted["kind"]):
            share = np.where(self._builder == 0, planted["share"], planted["others_share"])
        if (kind.share or 0.0) < 1:
            odds = share / (1 - share) * kind.per_decade ** ((self.age - 15) / 10) * self._odds[at]
            odds *= np.exp(self.condition) if kind.standing == "defect" else 1
            share = odds / (1 + odds)
        return share * self.holds(kind.when)


def _traits(visits: _Visits, random: np.random.Generator) -> dict[str, Flags]:
    """By deck, the traits that ``kinds.toml`` asks for."""
    shares, n_decks = parameters()["decks"], visits.deck_age.size

    def happens(share: float | Array) -> Flags:
        return random.random(n_decks) < share

    tall = visits.deck_height > 30
    on_top, guard, deep = happens(shares["joists_on_top_share"]), happens(np.where(tall, 0.95, 0.5)), happens(0.93)
    return {
        "ledger": happens(shares["ledger_share"]),
        "on_top": on_top,
        "hangers": ~on_top,
        "stairs": happens(shares["stairs_share"]),
        "guard": guard,
        "no_guard": ~guard,
        "drop_over_30": tall,
        "drop_up_to_30": ~tall,
        "few_risers": visits.deck_height < 26,
        "many_risers": visits.deck_height >= 26,
        "low_stair": ~tall,
        "tall_stair": visits.deck_height >= 56,
        "deep_joists": deep,
        "not_2x12": happens(0.84),
        "long_span": happens(0.5),
        "middle_span": happens(0.6),
        "built_before_2009": visits.deck_age > 15,
        "built_2004_on": visits.deck_age < 20,
        "built_before_2021": visits.deck_age > 3,
    }


# ---- what inspectors make of it --------------------------------------------------------------------------------------


def _trials(
    at: int, plan: Plan, visits: _Visits, nature: _Nature, shift: Array, random: np.random.Generator
) -> tuple[pd.DataFrame, Array]:
    topic = list(topics().values())[at]
    rows = np.flatnonzero((random.random(visits.deck.size) < topic.asked) & nature.holds(topic.needs))
    shares = nature.shares(at, topic)[rows]
    kind = (np.cumsum(shares, axis=1) < nature.point[rows, at, None]).sum(axis=1).clip(max=len(topic.kinds) - 1)
    who = visits.inspector[rows]
    by_kind = np.stack([_call_shares(topic, plan, person) for person in range(plan.n_inspectors)])
    likely = expit(logit(shares @ by_kind[:, :, 0].T) + shift)  # visits x inspectors: the chance of a write-up
    own, plain = likely[np.arange(rows.size), who], (shares * by_kind[who, :, 0]).sum(axis=1)
    calls = _at_chance(by_kind[who, kind], own, plain)
    call = _picked(calls, random)
    seen = ~_hidden(topic.side, nature.low[rows], random)
    measured = random.random(rows.size) < _kept(topic, plan)[kind, call]
    standing = np.array([one.standing for one in topic.kinds], object)[kind]
    verdict = np.where(seen, np.where(measured, standing, "cannot_tell"), None)
    called = np.array(CALLS, object)[call]
    trials = pd.DataFrame(
        {
            "visit": rows,
            "topic": topic.id,
            "seen": seen,
            "call": np.where(seen, called, "not_seen"),
            "written_up": seen & (called == "written_up"),
            "verdict": verdict,
            "overcalled": (verdict == "acceptable") & (called == "written_up"),
            "missed": (verdict == "defect") & (called == "passed"),
            "understated": (verdict == "defect") & (called == "advised"),
            "looked": None,
            "kind": np.array([one.name for one in topic.kinds], object)[kind],
            "standing": standing,
        }
    )
    return trials, likely


def _call_shares(topic: Topic, plan: Plan, person: int) -> Array:
    """Kinds x calls: how often an inspector makes each call on a case of each kind."""
    table = np.array([[parameters()["calls"][kind.standing][call] for call in CALLS] for kind in topic.kinds])
    for row, kind in enumerate(topic.kinds):
        for call, share in (("written_up", kind.written_up), ("passed", kind.passed)):
            if share is not None:
                table[row] = _with_share(table[row], call, share)
        for habit in plan.habits:
            if habit.topic == topic.id and kind.name in habit.kinds:
                among_recorded = habit.own if person == ODD else habit.by_peers
                of_all = _before_recording(table[row], habit.call, among_recorded, _kept(topic, plan)[row])
                table[row] = _with_share(table[row], habit.call, of_all)
    return table


def _before_recording(shares: Array, call: str, wanted: float, kept: Array) -> float:
    """The share of all cases that gives the wanted share among those whose measures are kept."""
    at = CALLS.index(call)
    others = np.delete(shares, at)
    kept_of_others = float(others @ np.delete(kept, at) / others.sum())
    return wanted * kept_of_others / (float(kept[at]) * (1 - wanted) + wanted * kept_of_others)


def _with_share(shares: Array, call: str, own: float) -> Array:
    """The shares with one of them given, the others in their old proportion."""
    at = CALLS.index(call)
    others = np.delete(shares, at)
    return np.insert(others / others.sum() * (1 - own), at, own)


def _at_chance(calls: Array, wanted: Array, plain: Array) -> Array:
    """The shares of calls, moved so that over all kinds of case the chance of a write-up is the one wanted."""
    written_up = calls[:, 0]
    more = written_up + (1 - written_up) * (wanted - plain) / (1 - plain)
    moved = np.where(wanted >= plain, more, written_up * wanted / plain)
    rest = (1 - moved) / np.maximum(1 - written_up, 1e-12)
    return np.column_stack([moved, calls[:, 1:] * rest[:, None]])


def _hidden(side: str, low: Flags, random: np.random.Generator) -> Flags:
    shares = parameters()["not_seen"]
    if side == "stair":
        return np.zeros(low.size, bool)
    under_low = low if side == "under" else np.zeros(low.size, bool)
    return random.random(low.size) < np.where(under_low, shares["under_low_deck"], shares[side])


def _kept(topic: Topic, plan: Plan) -> Array:
    """Kinds x calls: the share of calls whose measures are all written down; none where there is nothing to measure."""
    recorded = parameters()["recorded"]
    shares = np.array([recorded[call] for call in CALLS])
    if topic.passed is not None:
        shares[CALLS.index("passed")] = topic.passed
    if plan.kept is not None:
        shares = np.array([plan.kept[0], *[plan.kept[1]] * 3])
    measures = np.array([len(kind.measures) for kind in topic.kinds])
    return np.where(measures > 0, 1 - recorded["one_left_out_share"] * (measures > 1), 0.0)[:, None] * shares
