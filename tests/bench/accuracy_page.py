"""The text of docs/accuracy.md, from what was counted (see simulate_inspectors.py)."""

from __future__ import annotations

import math
from collections.abc import Mapping

from dashboard.stats.intervals import wilson

Counted = Mapping[str, Mapping[str, float]]

NULL_12, NULL_14 = "nothing planted, 12 x 2500", "nothing planted, 14 x 1000"


def _share(part: float, whole: float, digits: int = 0) -> str:
    """A share with its Wilson interval, in percent."""
    if whole == 0:
        return "–"
    low, high = wilson(part, whole)
    return f"{100 * part / whole:.{digits}f} ({100 * low:.{digits}f}–{100 * high:.{digits}f})"


def _points(total: float, total_squared: float, n: float) -> str:
    """The mean of firms in percent points, with two standard errors."""
    mean = total / n
    error = math.sqrt(max(total_squared / n - mean**2, 0) / max(n - 1, 1))
    return f"{100 * mean:+.1f} ± {200 * error:.1f}"


def _table(head: list[str], rows: list[list[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)


def _target(
    what: str, wanted: str, part: float, whole: float, least: float = 0, most: float = 1, digits: int = 0
) -> list[str]:
    reached = whole > 0 and least <= part / whole <= most
    return [what, wanted, _share(part, whole, digits), "yes" if reached else "**no**"]


def _sizes(counted: Counted, start: str) -> list[int]:
    return sorted(int(name.rsplit(", ", 1)[1]) for name in counted if name.startswith(f"{start}, ") and name[-1] == "0")


# ---- sections --------------------------------------------------------------------------------------------------------


def _targets(counted: Counted) -> str:
    rows = []
    for name, size in ((NULL_12, "12 inspectors, 2,500 reports"), (NULL_14, "14 inspectors, 1,000 reports")):
        null = counted[name]
        rows += [
            _target(
                f"{size}: firms with a signal of write-ups by luck",
                "at most 8",
                null["write_ups_any"],
                null["firms"],
                most=0.08,
                digits=1,
            ),
            _target(
                f"{size}: pairs with a signal by luck",
                "at most 0.15",
                null["signal_flagged"],
                null["signal_compared"],
                most=0.0015,
                digits=3,
            ),
        ]
    for share, reports, by, least in (
        (0.7, 2500, "by_write_ups", 0.95),
        (0.7, 2500, "by_wrong_calls", 0.95),
        (0.7, 1500, "by_write_ups", 0.90),
        (0.4, 2500, "by_write_ups", 0.65),
        (0.4, 2500, "by_wrong_calls", 0.65),
    ):
        here = counted[f"sound cases written up at {share}, {reports}"]
        column = "`signal`" if by == "by_write_ups" else "`overcalled_signal`"
        what = f"sound cases written up at {share} against 0.1 found by {column}, {reports:,} reports"
        rows.append(_target(what, f"at least {100 * least:.0f}", here[by], here["firms"], least=least))
    for share, least in ((0.7, 0.90), (0.5, 0.70)):
        here = counted[f"defects passed over at {share}, 2500"]
        what = f"defects passed over at {share} against 0.12 found by `missed_signal`, 2,500 reports"
        rows.append(_target(what, f"at least {100 * least:.0f}", here["by_wrong_calls"], here["firms"], least=least))
    alone = counted["alone"]
    rows.append(
        _target(
            "alone in a region: firms in which every pair is `cannot_separate`",
            "100",
            alone["every_pair_kept_apart"],
            alone["firms"],
            least=1,
        )
    )
    rows += _share_targets(counted) + _interval_targets(counted) + _accuracy_targets(counted)
    return _table(["what", "wanted, percent", "reached, percent", "reached"], rows)


def _share_targets(counted: Counted) -> list[list[str]]:
    of, rows = counted["measures kept unevenly"], []
    for key, told in (("missed_pairs", "missed share"), ("false_calls_pairs", "false-call share")):
        total, squared, firms = of[f"{key}_error"], of[f"{key}_error_squared"], of["firms"]
        reached = "yes" if abs(total / firms) <= 0.03 else "**no**"
        what = f"{told} of an inspector in a topic less the truth, measures kept unevenly, points"
        rows.append([what, "within 3", _points(total, squared, firms), reached])
    return rows


def _interval_targets(counted: Counted) -> list[list[str]]:
    null, old = counted[NULL_12], counted["old, nothing planted"]
    rows = []
    for what, of, key in (("typical inspectors", null, "typical"), ("only old decks", old, "odd")):
        pairs, outside = of[f"ratio_{key}_pairs"], of[f"ratio_{key}_outside"]
        rows.append(
            _target(
                f"intervals of the ratio that hold the truth, {what}", "93 to 97", pairs - outside, pairs, 0.93, 0.97, 1
            )
        )
    for spread, least, most in ((0, 0.95, 1.0), (0.2, 0.92, 0.98), (0.4, 0.92, 0.98)):
        of = counted[f"spread {spread}"] if spread else null
        pairs = of["shrunken_ratio_typical_pairs"] + of["shrunken_ratio_odd_pairs"]
        outside = of["shrunken_ratio_typical_outside"] + of["shrunken_ratio_odd_outside"]
        wanted = "at least 95" if not spread else "92 to 98"
        rows.append(
            _target(
                f"intervals of the shrunken ratio that hold the truth, spread {spread}",
                wanted,
                pairs - outside,
                pairs,
                least,
                most,
                1,
            )
        )
    return rows


def _accuracy_names(counted: Counted) -> dict[str, str]:
    """What was asked of finds and false calls, by the name of the scenario."""
    return {name: name.removeprefix("accuracy, ") for name in counted if name.startswith("accuracy, ")}


def _accuracy_targets(counted: Counted) -> list[list[str]]:
    rows = []
    for name, told in _accuracy_names(counted).items():
        of = counted[name]
        held, told_all = (sum(of[f"{share}_{what}"] for share in ("finds", "false_calls")) for what in ("held", "told"))
        what = f"intervals of finds and false calls that hold the truth ({told})"
        rows.append(_target(what, "92 to 98", held, told_all, 0.92, 0.98, 1))
    return rows


def _accuracy(counted: Counted) -> str:
    rows = []
    for name, told in _accuracy_names(counted).items():
        of, row = counted[name], [told]
        for share in ("finds", "false_calls"):
            row += [
                _share(of[f"{share}_held"], of[f"{share}_told"], 1),
                _points(of[f"{share}_error"], of[f"{share}_error_squared"], of["firms"]),
            ]
        rows.append(row)
    head = ["how the truth is known", "finds: intervals that hold it", "finds less truth, points"]
    head += ["false calls: intervals that hold it", "false calls less truth, points"]
    return _table(head, rows)


_FAMILIES = {
    "signal": "`signal`, topic by topic",
    "signal_all": "`signal`, all topics",
    "overcalled": "`overcalled_signal`, topic by topic",
    "overcalled_all": "`overcalled_signal`, all topics",
    "missed": "`missed_signal`, topic by topic",
    "missed_all": "`missed_signal`, all topics",
}


def _luck(counted: Counted) -> str:
    head = [
        "family",
        *(
            f"{size}: {what}"
            for size in ("12 x 2,500", "14 x 1,000")
            for what in ("firms with a signal", "comparisons flagged")
        ),
    ]
    rows = []
    for family, name in _FAMILIES.items():
        row = [name]
        for of in (counted[NULL_12], counted[NULL_14]):
            row += [
                _share(of[f"{family}_any"], of["firms"], 1),
                _share(of[f"{family}_flagged"], of[f"{family}_compared"], 2),
            ]
        rows.append(row)
    for name, key in (("both of `signal`", "write_ups_any"), ("all six", "any")):
        rows.append(
            [
                name,
                *(
                    cell
                    for of in (counted[NULL_12], counted[NULL_14])
                    for cell in (_share(of[key], of["firms"], 1), "")
                ),
            ]
        )
    return _table(head, rows)


def _found(counted: Counted) -> str:
    rows = []
    for reports in _sizes(counted, "sound cases written up at 0.7"):
        row = [f"{reports:,}"]
        for share in (0.7, 0.4):
            of = counted[f"sound cases written up at {share}, {reports}"]
            row += [_share(of["by_write_ups"], of["firms"]), _share(of["by_wrong_calls"], of["firms"])]
        rows.append([*row, f"{of['reports'] / of['firms']:.0f}"])
    head = [
        "reports of the firm",
        "0.7: `signal`",
        "0.7: `overcalled_signal`",
        "0.4: `signal`",
        "0.4: `overcalled_signal`",
        "own reports, mean",
    ]
    return _table(head, rows)


def _missed(counted: Counted) -> str:
    rows = []
    for reports in _sizes(counted, "defects passed over at 0.7"):
        row = [f"{reports:,}"]
        for share in (0.7, 0.5):
            of = counted[f"defects passed over at {share}, {reports}"]
            row += [_share(of["by_wrong_calls"], of["firms"]), f"{of['judged'] / of['firms']:.0f}"]
        rows.append(row)
    head = [
        "reports of the firm",
        "0.7: `missed_signal`",
        "own judged defects, mean",
        "0.5: `missed_signal`",
        "own judged defects, mean",
    ]
    return _table(head, rows)


def _odd(counted: Counted) -> str:
    rows = []
    for name, told in (("old", "decks of 25 years and more only"), ("one_builder", "decks of one builder only")):
        null, biased = counted[f"{name}, nothing planted"], counted[f"{name}, sound cases written up at 0.7"]
        rows.append(
            [
                told,
                _share(null["signal_odd_flagged"], null["signal_odd_compared"], 2),
                _share(null["p_odd_0.01"], null["signal_odd_compared"], 1),
                _share(biased["by_write_ups"], biased["firms"]),
                _share(biased["by_wrong_calls"], biased["firms"]),
            ]
        )
    null = counted[NULL_12]
    rows.insert(
        0,
        [
            "like the others'",
            _share(null["signal_flagged"], null["signal_compared"], 2),
            _share(null["p_0.01"], null["signal_compared"], 1),
            *_as_others(counted),
        ],
    )
    head = [
        "decks",
        "pairs flagged, nothing planted",
        "pairs with p < 0.01, nothing planted",
        "0.7: `signal`",
        "0.7: `overcalled_signal`",
    ]
    return _table(head, rows)


def _as_others(counted: Counted) -> list[str]:
    of = counted["sound cases written up at 0.7, 2500"]
    return [_share(of["by_write_ups"], of["firms"]), _share(of["by_wrong_calls"], of["firms"])]


def _shares(counted: Counted) -> str:
    of = counted["measures kept unevenly"]
    firms = of["firms"]
    rows = []
    for name, told in (("missed", "missed defects"), ("false_calls", "false calls")):
        for level, whose in (("pairs", "an inspector in a topic"), ("topics", "a topic, all inspectors")):
            key = f"{name}_{level}"
            rows.append(
                [
                    f"{told}, {whose}",
                    f"{100 * of[f'{key}_truth'] / firms:.1f}",
                    _points(of[f"{key}_error"], of[f"{key}_error_squared"], firms),
                    f"{100 * of[f'{key}_plain_error'] / firms:+.1f}",
                    _share(of[f"{key}_told"], of[f"{key}_of"]),
                ]
            )
    head = [
        "share",
        "truth, percent",
        "estimate less truth, points",
        "plain share less truth, points",
        "shares told at all, percent",
    ]
    return _table(head, rows)


def _intervals(counted: Counted) -> str:
    groups = {
        "typical": "decks like the others'",
        "odd": "only old decks",
        "band1": "2 to 5 expected",
        "band2": "5 to 20 expected",
        "band3": "20 and more expected",
    }
    rows = []
    columns = (
        ("old, nothing planted", "ratio"),
        ("spread 0.4", "ratio"),
        ("old, nothing planted", "shrunken_ratio"),
        ("spread 0.2", "shrunken_ratio"),
        ("spread 0.4", "shrunken_ratio"),
    )
    for key, told in groups.items():
        row = [told]
        for name, what in columns:
            pairs, outside = counted[name][f"{what}_{key}_pairs"], counted[name][f"{what}_{key}_outside"]
            row.append(_share(pairs - outside, pairs, 1))
        rows.append(row)
    head = [
        "pairs",
        "ratio, spread 0",
        "ratio, spread 0.4",
        "shrunken, spread 0",
        "shrunken, spread 0.2",
        "shrunken, spread 0.4",
    ]
    return _table(head, rows)


def page(counted: Counted, seed: int) -> str:
    """The whole page."""
    null = counted[NULL_12]
    by_write_ups = counted["defects passed over at 0.7, by write-ups"]
    alone, exact = counted["alone"], counted["defects passed over at 0.5, 2500"]
    others = [of for name, of in counted.items() if name.startswith("sound cases written up")]
    flagged, compared = (sum(of[f"others_{what}"] for of in others) for what in ("flagged", "compared"))
    firms = sum(of["firms"] for of in counted.values())
    return f"""# How often the comparison of inspectors errs, and what it finds

Written by `python tests/bench/simulate_inspectors.py` (seed {seed}, {firms:,.0f} firms in all); do not edit by hand. The methods
stand in [measures.md](measures.md#signal).

**How it was tried out.** Firms are drawn whose truth is known, and put through the code that fills the table
[inspectors](tables.md#inspectors). Topics, kinds of case, how often they occur, what is measured and how it is called are those of
the sample firm, 61 topics and about {null["signal_compared"] / null["firms"]:.0f} comparisons of an inspector in a topic. Decks differ by age, region,
height, season and builder, and by their state of upkeep, which no report tells; three builders in ten and one year in eight are
not known, one year in five is an estimate. Every inspector has another mix of regions, ages and builders and another number of
reports. Where one of them is made to differ, that one has the average number of reports. As in the sample firm, planted shares are
of the cases whose measures were written down. Invented firms show whether a method does what it says. They do not show how far
inspectors differ in a real one.

Shares are percent, with 95 percent Wilson intervals for the number of simulated firms (or of pairs, as if these were independent).

## What was asked of it

{_targets(counted)}

What falls short, and why: see the sections below.

## Luck alone

Nobody differs from anybody. Each line is a family of comparisons with its own false discovery control: at 5 percent topic by topic,
which, when nobody differs, lets up to one firm in twenty have a signal in it, and at half of that over all topics.

{_luck(counted)}

The limit of 8 percent is for the two families of `signal` together, that of a pair for `signal` topic by topic. Whoever reads all six
columns of signals meets more false ones than whoever reads one: that is what the last line says. Beside one inspector who does
differ, {_share(flagged, compared, 2)} percent of the other pairs were flagged.

The half rate over all topics is there because both are read together: in earlier trials with the same seeds, both at 5 percent and
decks of unknown age not yet set where the inspector's other decks are, 22 of 200 firms had a signal of write-ups by luck.

## Write-ups that do not hold

One inspector writes up sound hangers a size down, which tempt, in 70 or in 40 percent of the cases with sizes recorded; the others
do so in 10 percent. How many firms in a hundred find it:

{_found(counted)}

At 0.4 the share of all write-ups of the topic moves by little, and among some four hundred comparisons a difference has to be about
three and a half standard deviations to be flagged: `signal` alone does not reach what was asked of it. `overcalled_signal`, which
looks at just these cases, finds more; so would more reports.

## Defects passed over

One inspector passes over wide gaps behind the joist in 70 or in 50 percent of the measured cases; the others do so in 12 percent.

{_missed(counted)}

The number of own judged defects decides: with 17 of them, of which colleagues would miss two, eight misses are about what it takes to
be beyond luck among a hundred comparisons. Fisher's exact test of the same counts, held to the same bar and with no least number of
trials, would find {_share(exact["by_exact_test"], exact["firms"])} percent at 0.5 and 2,500 reports: what limits the figure is the data, not the method. More
reports, or second looks at passes of the topic, are the way. By the write-up rate alone (`signal`), an inspector who misses 70 percent
is found in {_share(by_write_ups["by_write_ups"], by_write_ups["firms"])} percent of firms of 2,500 reports, by `missed_signal` in {_share(by_write_ups["by_wrong_calls"], by_write_ups["firms"])}: a write-up rate is a poor
detector of misses.

## Odd decks

One inspector sees only old decks, or only decks of one builder, in whose hangers deck screws are five times as frequent as elsewhere.

{_odd(counted)}

The model takes the decks into account, not the inspector. Decks of unknown age are taken for as old as the inspector's other decks:
whoever sees old decks only has old ones among those, too. Where one builder made all own decks, builder and inspector are partly one,
and the comparison is marked weak: more reports are needed to find the same.

## Alone in a region

In {_share(alone["every_pair_kept_apart"], alone["firms"])} percent of {alone["firms"]:.0f} firms every comparison of the inspector who alone covers a region was
`cannot_separate` ({alone["kept_apart"]:.0f} of {alone["pairs"]:.0f} comparisons with enough trials).

## Measures kept unevenly

Measures are kept for 90 percent of write-ups and for 20 percent of all other calls. The weighted shares are held against the truth of
the same trials, each inspector or topic with the weight of its true cases.

{_shares(counted)}

Judged cases alone would make inspectors look far better at finding defects, and far worse at leaving sound work alone, than they are;
the weights take nearly all of it away. What is left for a single inspector comes of few judged passes: of five or ten of them often
none is a defect, and the share of missed ones is then put at nothing. Over a whole topic it is gone. Where fewer than 30 percent of
the calls are judged only bounds are told; with so few measures kept, that is most inspectors in most topics.

## Intervals

How many 95 percent intervals hold the true ratio, in percent. The truth is the sum of the chances of a write-up on the own decks over
that of the unflagged colleagues of the region there. *Spread* is how far inspectors were made to differ from each other in every
topic, log-odds.

{_intervals(counted)}

Where nobody differs, a shrunken ratio is drawn so near to 1 that its interval hardly ever leaves it out. At a spread of 0.4 many are
flagged, and what is expected of the rest rests on those who are left, whose own habits lie in it too: with many write-ups, where an
interval is short, that shows.

## Finds and false calls

The table [accuracy](tables.md#accuracy), on other firms: 12 inspectors and one topic of 2,500 decks (or of 300 or 500 with three
looks each), a fifth with a defect; what the inspectors find and call wrong differs from one to the next, and one misses most. *Direct*:
the truth of some calls is known, and each class of calls counts with all its trials. *Latent*: the model of Dawid and Skene.

{_accuracy(counted)}

Where all share a wrong rule, their agreement says nothing of it; the decks whose truth is known do, and a model that they contradict
is not believed (`known_decks_disagree`).

## Repeats

A trial is report x deck x topic: an observation noted at more places of the same deck changes no figure. A test loads the same
reports with every observation at one place and at three, and compares the tables
(`tests/dashboard/measures/test_planted_truth.py`).
"""
