"""Small snapshots, made straight from the tables of the schema, for tests of what reads them.

Rows are written as a loader would write them: a test names the facts that matter to it, the rest has plain defaults.
The trials are put together here in plain Python, apart from the loader's SQL.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

import duckdb

from dashboard.warehouse import SCHEMA_VERSION

STRENGTH = ("written_up", "referred", "advised", "passed", "not_seen")
CHOSEN = ("random", "targeted", "dispute")
#: What a rule can decide, the first that stands in a trial before the others.
DECIDED = ("defect", "judgment", "acceptable")
OUTCOMES = {
    ("written_up", "defect"): "upheld",
    ("written_up", "acceptable"): "overcalled",
    ("referred", "defect"): "upheld",
    ("referred", "acceptable"): "cleared",
    ("advised", "defect"): "understated",
    ("advised", "acceptable"): "cleared",
    ("passed", "defect"): "missed",
    ("passed", "acceptable"): "cleared",
}
TOPICS = (  # topic, judged, built, in load-path order
    ("hanger_size", True, True),
    ("joist_gap", True, True),
    ("guard_height", True, True),
    ("footing_depth", True, False),
    ("other", False, False),
)
MEASURES = (  # measure, kind, unit
    ("joist_nominal", "size", None),
    ("hanger_nominal", "size", None),
    ("hanger_height_in", "number", "in"),
    ("joist_gap_in", "number", "in"),
    ("holes_total", "count", None),
    ("holes_filled", "count", None),
    ("holes_empty", "count", None),
    ("fastener_kind", "choice", None),
    ("fastener_length_in", "number", "in"),
    ("fastener_position", "choice", None),
    ("nail_tip_seen_in_gap", "yes_no", None),
)


@dataclass
class Firm:
    """A firm's observations, row by row; :meth:`publish` writes them as the current snapshot of a folder."""

    rows: list[dict[str, Any]] = field(default_factory=list)
    #: Which load brought in a report, where it was not the first.
    loads: dict[str, str] = field(default_factory=dict)
    files: list[dict[str, Any]] = field(default_factory=list)
    #: Weights of the rules of topics, where they are not 3.
    rule_weights: dict[str, int] = field(default_factory=dict)
    refused: list[dict[str, Any]] = field(default_factory=list)
    looks: list[dict[str, Any]] = field(default_factory=list)
    round_calls: list[dict[str, Any]] = field(default_factory=list)
    attendances: list[dict[str, Any]] = field(default_factory=list)
    staff: list[dict[str, Any]] = field(default_factory=list)

    def note(self, topic: str, call: str, verdict: str | None = "cannot_tell", **facts: Any) -> Firm:
        """Add an observation. ``report`` and ``deck`` default to a new report on a new deck, ``load`` to the first."""
        number = len(self.rows) + 1
        report = facts.pop("report", f"R{number}")
        self.loads[report] = facts.pop("load", "0001")
        row: dict[str, Any] = {
            "report_id": report,
            "observation_no": str(number),
            "observation_id": f"{report}:{number}",
            "inspected_on": date(2026, 5, 1),
            "inspector_id": "I1",
            "deck_id": facts.pop("deck", f"D{report}"),
            "region": "Ridge",
            "builder": "unknown",
            "deck_age_years": None,
            "deck_age": "10 to 14",
            "deck_height": "31 to 72 in",
            "topic": topic,
            "place": None,
            "call": call,
            "not_seen_reason": None,
            "consequence": None,
            "comment": None,
            "read_from_comment": None,
            "recommendation": None,
            "photo_count": None,
            "code_basis": None,
            "criterion_id": f"{topic}_rule" if verdict in ("defect", "acceptable", "judgment") else None,
            "verdict": verdict,
            "basis": "measured" if verdict in ("defect", "acceptable", "judgment") else None,
            "outcome": _outcome(call, verdict),
            "reason": "because",
            "missing": None,
            "recorded": None,
            "measured": verdict not in (None, "cannot_tell"),
            "second_look": False,
            "age_estimated": False,
        } | {measure: None for measure, _, _ in MEASURES}
        self.rows.append(_with(row, facts))
        return self

    def look(self, ruling: str, chosen: str = "random", **facts: Any) -> Firm:
        """Look again at the observation added last (or at ``at``, its place in ``rows``): a second look."""
        row = self.rows[facts.pop("at", -1)]
        look: dict[str, Any] = {name: row[name] for name in ("report_id", "observation_no", "observation_id")}
        plain = {"looked_by": "L1", "looked_on": date(2026, 6, 1), "chosen": chosen, "ruling": ruling, "reason": None}
        self.looks.append(look | _with(plain, facts))
        return self

    def round_call(self, item: str, inspector: str, call: str, known: str | None = None, **facts: Any) -> Firm:
        """What an inspector called one item of a calibration round; ``known`` is what the item is known to be."""
        plain: dict[str, Any] = {"round_id": "C1", "held_on": date(2026, 6, 1), "item_id": item, "topic": "joist_gap"}
        plain |= {"inspector_id": inspector, "call": call, "observation_id": None, "known_verdict": known}
        self.round_calls.append(_with(plain, facts))
        return self

    def attend(self, inspector: str, topic: str = "joist_gap", **facts: Any) -> Firm:
        """Put an inspector into a training session on a topic."""
        plain = {"session_id": "T1", "held_on": date(2026, 3, 1), "topic": topic, "inspector_id": inspector, "hours": 2}
        self.attendances.append(_with(plain, facts))
        return self

    def employ(self, inspector: str, **facts: Any) -> Firm:
        """Add an inspector to the staff."""
        plain = dict.fromkeys(("inspector_id", "display_name", "started_on", "office", "role"))
        self.staff.append(_with(plain | {"inspector_id": inspector}, facts))
        return self

    def refuse(
        self,
        *reasons: str,
        report: str | None = None,
        file: str = "a.csv",
        table: str = "observations",
        **received: str,
    ) -> Firm:
        """Add a refused row of the first load, with what it held by column; it may name a report."""
        held = ({"report_id": report} if report else {}) | received
        self.refused.append(
            {
                "load_id": "0001",
                "file": file,
                "row": len(self.refused) + 2,
                "report_id": report,
                "observation_no": received.get("observation_no"),
                "reasons": list(reasons),
                # DuckDB takes a dict of these two for a map.
                "received": {"key": list(held), "value": list(held.values())},
                "input_table": table,
            }
        )
        return self

    def file(self, name: str, load: str = "0001", **counts: int) -> Firm:
        """Add a file of a load with its counts of rows."""
        none = dict.fromkeys(("rows_read", "rows_loaded", "rows_replaced", "rows_unchanged", "rows_rejected"), 0)
        day = datetime(2026, 6, int(load), 12)
        self.files.append({"load_id": load, "file": name, **none, **counts, "loaded_at": day, "sha256": name})
        return self

    def many(self, count: int, topic: str, call: str, verdict: str | None, **facts: Any) -> Firm:
        """``count`` observations, each in a report of its own on a deck of its own."""
        for _ in range(count):
            self.note(topic, call, verdict, **facts)
        return self

    def publish(self, warehouse: Path, snapshot: str = "0001", schema_version: int = SCHEMA_VERSION) -> Path:
        """Write the snapshot and point to it; returns the warehouse folder."""
        (warehouse / "snapshots").mkdir(parents=True, exist_ok=True)
        with _writing(warehouse / "snapshots" / f"{snapshot}.duckdb") as connection:
            connection.begin()
            connection.execute(_SCHEMA)
            connection.execute(
                "insert into snapshot_info values (?, ?, ?, 'c0ffee', 'IRC 2021', '0.1.0')",
                [snapshot, schema_version, datetime(2026, 6, 1, 12)],
            )
            _fill(connection, "observation_facts", self.rows)
            _fill(connection, "second_looks", self.looks)
            _fill(connection, "standing_looks", standing_looks(self.rows, self.looks))
            _fill(connection, "rounds", self.round_calls)
            _fill(connection, "sessions", self.attendances)
            _fill(connection, "staff", self.staff)
            _fill(connection, "trials", trials(self.rows, self.looks))
            _fill(connection, "reports", _reports(self.rows, self.loads, self.refused))
            _fill(connection, "refused", self.refused)
            _fill(connection, "loads", self.files)
            _fill(connection, "topics", [_topic(at, *topic, self.rule_weights) for at, topic in enumerate(TOPICS, 1)])
            _fill(
                connection,
                "criteria",
                [
                    _criterion(at, topic[0], self.rule_weights.get(topic[0], 3))
                    for at, topic in enumerate(TOPICS, 1)
                    if topic[2]
                ],
            )
            _fill(connection, "measures", [_measure(at, *measure) for at, measure in enumerate(MEASURES, 1)])
            connection.commit()
        (warehouse / "current").write_text(snapshot, encoding="utf-8")
        return warehouse


def standing_looks(rows: Iterable[Mapping[str, Any]], looks: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The newest look of each observation, as the schema defines it; these looks are of different days."""
    of_row: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    for look in looks:
        of_row[look["observation_id"]].append(look)
    return [_standing(row, of_row[row["observation_id"]]) for row in rows if row["observation_id"] in of_row]


def _standing(row: Mapping[str, Any], looks: list[Mapping[str, Any]]) -> dict[str, Any]:
    newest = max(looks, key=lambda look: look["looked_on"])
    return {name: row[name] for name in ("observation_id", "report_id", "deck_id", "topic")} | {
        **{name: newest[name] for name in ("looked_on", "chosen", "ruling")},
        "looked": min((look["chosen"] for look in looks), key=CHOSEN.index),
        "outcome": _outcome(row["call"], newest["ruling"]),
        "told": f"A person looked again ({newest['chosen']} look): {newest['ruling']}. {newest['reason']}",
    }


def trials(rows: Iterable[Mapping[str, Any]], looks: Iterable[Mapping[str, Any]] = ()) -> list[dict[str, Any]]:
    """One trial a report x deck x topic, as the schema defines it; random looks stand above what the rules say."""
    rows = list(rows)
    standing = {look["observation_id"]: look for look in standing_looks(rows, looks)}
    rows = [
        {**row, "looked": None, "ruled": row["verdict"]} | _said_by(standing.get(row["observation_id"])) for row in rows
    ]
    together: dict[tuple[str, str, str], list[Mapping[str, Any]]] = defaultdict(list)
    reports: dict[str, set[str]] = defaultdict(set)
    for row in rows:
        together[row["report_id"], row["deck_id"], row["topic"]].append(row)
        reports[row["deck_id"]].add(row["report_id"])
    return [_trial(group) | {"revisited": len(reports[group[0]["deck_id"]]) > 1} for group in together.values()]


def _said_by(look: Mapping[str, Any] | None) -> dict[str, Any]:
    if look is None:
        return {}
    said = {"verdict": look["ruling"], "outcome": look["outcome"]} if look["looked"] == "random" else {}
    return said | {"looked": look["looked"]}


def _trial(rows: list[Mapping[str, Any]]) -> dict[str, Any]:
    seen = [row for row in rows if row["call"] != "not_seen"]
    verdicts = {row["verdict"] for row in seen}
    outcomes = {row["outcome"] for row in rows}
    upheld = "upheld" in outcomes
    ranked = [verdict for verdict in (*DECIDED, "cannot_tell") if verdict in verdicts]
    kept = (
        "report_id",
        "deck_id",
        "topic",
        "inspected_on",
        "inspector_id",
        "region",
        "builder",
        "deck_age_years",
        "deck_age",
        "deck_height",
        "age_estimated",
    )
    return {name: rows[0][name] for name in kept} | {
        "seen": bool(seen),
        "call": min((row["call"] for row in rows), key=STRENGTH.index),
        "verdict": ranked[0] if ranked else None,
        "judged": bool(verdicts & {"defect", "acceptable"}),
        "defect": "defect" in verdicts,
        "upheld": upheld,
        "overcalled": "overcalled" in outcomes,
        "missed": "missed" in outcomes and not upheld,
        "understated": "understated" in outcomes and not upheld,
        "rows": len(rows),
        "looked": min((row["looked"] for row in rows if row["looked"]), key=CHOSEN.index, default=None),
        "ruled": next((verdict for verdict in DECIDED if verdict in {row["ruled"] for row in seen}), None),
    }


def _with(plain: dict[str, Any], facts: Mapping[str, Any]) -> dict[str, Any]:
    unknown = set(facts) - set(plain)
    if unknown:
        raise TypeError(f"no such fact: {', '.join(sorted(unknown))}")
    return plain | facts


def _outcome(call: str, verdict: str | None) -> str:
    if call == "not_seen":
        return "not_seen"
    if verdict is None:
        return "no_rule"
    return OUTCOMES.get((call, verdict), "judgment" if verdict == "judgment" else "undecided")


def _reports(
    rows: Iterable[Mapping[str, Any]], loads: Mapping[str, str], refused: Iterable[Mapping[str, Any]]
) -> list[dict[str, Any]]:
    first = {}
    lacking = [row["report_id"] for row in refused]
    for row in rows:
        first.setdefault(row["report_id"], row)
    return [
        {name: row[name] for name in ("report_id", "inspected_on", "inspector_id", "region")}
        | {"load_id": loads.get(row["report_id"], "0001"), "loaded_at": datetime(2026, 6, 1, 12)}
        | {"incomplete": row["report_id"] in lacking, "rows_refused": lacking.count(row["report_id"])}
        for row in first.values()
    ]


def _topic(position: int, topic: str, judged: bool, built: bool, weights: Mapping[str, int]) -> dict[str, Any]:
    return {
        "topic": topic,
        "title": topic.replace("_", " ").capitalize(),
        "topic_group": "Parts",
        "position": position,
        "judged": judged,
        "built": built,
        "plain": "The rule.",
        "habit": "The habit.",
        "caution": None,
        "weight": weights.get(topic, 3) if built else None,
    }


def _measure(position: int, measure: str, kind: str, unit: str | None) -> dict[str, Any]:
    title = measure.replace("_", " ")
    return {"measure": measure, "title": title, "kind": kind, "unit": unit, "position": position, "choices": []}


def _criterion(position: int, topic: str, weight: int) -> dict[str, Any]:
    return {
        "criterion_id": f"{topic}_rule",
        "topic": topic,
        "title": f"Rule of {topic}",
        "position": position,
        "plain": "The rule.",
        "weight": weight,
        "known": "read",
        "needs": [topic],
    }


@contextmanager
def _writing(file: Path) -> Iterator[duckdb.DuckDBPyConnection]:
    """A database file to write to, within a database that stays open: to open a new one takes half of all the time."""
    with _writer().cursor() as connection:
        connection.execute(f"attach '{file}' as firm")
        connection.execute("use firm")
        try:
            yield connection
        finally:
            connection.execute("use memory")
            connection.execute("detach firm")


@cache
def _writer() -> duckdb.DuckDBPyConnection:
    return duckdb.connect()


def _fill(connection: duckdb.DuckDBPyConnection, table: str, rows: list[dict[str, Any]]) -> None:
    if not rows:
        return
    names = list(rows[0])
    types = _types()[table]
    columns = {name: [row[name] for row in rows] for name in names}
    # One list a column, taken apart in SQL: thousands of single inserts would take seconds.
    parts = ", ".join(f"unnest(cast(${name} as {types[name]}[]))" for name in names)
    connection.execute(f"insert into {table} ({', '.join(names)}) select {parts}", columns)


@cache
def _types() -> dict[str, dict[str, str]]:
    """The types of the schema, by table and column; asked for once, since hundreds of tests publish a firm."""
    found: dict[str, dict[str, str]] = defaultdict(dict)
    with duckdb.connect() as connection:
        connection.execute(_SCHEMA)
        listed = connection.execute(
            "select table_name, column_name, data_type from duckdb_columns() where not internal"
        )
        for table, column, data_type in listed.fetchall():
            found[table][column] = data_type
    return found


_SCHEMA = """
create table snapshot_info (
  snapshot varchar, schema_version integer, created_at timestamp, catalog varchar, code_basis varchar,
  evenhand_version varchar
);
create table reports (
  report_id varchar, inspected_on date, inspector_id varchar, region varchar, property_id varchar, code_basis varchar,
  version integer, load_id varchar, loaded_at timestamp, rows_refused integer, incomplete boolean
);
create table observation_facts (
  report_id varchar, observation_no varchar, observation_id varchar, inspected_on date, inspector_id varchar,
  deck_id varchar, region varchar, builder varchar, deck_age_years integer, deck_age varchar, deck_height varchar,
  topic varchar, place varchar, call varchar, not_seen_reason varchar, consequence integer, comment varchar,
  read_from_comment varchar, recommendation varchar, photo_count integer, code_basis varchar, criterion_id varchar, verdict varchar,
  basis varchar, outcome varchar, reason varchar, missing varchar[], recorded varchar, measured boolean,
  second_look boolean, age_estimated boolean,
  joist_nominal varchar, hanger_nominal varchar, hanger_height_in decimal(12, 6), joist_gap_in decimal(12, 6),
  holes_total integer, holes_filled integer, holes_empty integer, fastener_kind varchar,
  fastener_length_in decimal(12, 6), fastener_position varchar, nail_tip_seen_in_gap boolean
);
create view observations as
  select * exclude (deck_age_years, deck_age, deck_height, age_estimated) from observation_facts;
create table second_looks (
  report_id varchar, observation_no varchar, observation_id varchar, looked_by varchar, looked_on date, chosen varchar,
  ruling varchar, reason varchar
);
create table standing_looks (
  observation_id varchar, report_id varchar, deck_id varchar, topic varchar, looked_on date, chosen varchar,
  ruling varchar, looked varchar, outcome varchar, told varchar
);
create table rounds (
  round_id varchar, held_on date, item_id varchar, topic varchar, inspector_id varchar, call varchar,
  observation_id varchar, known_verdict varchar
);
create table sessions (
  session_id varchar, held_on date, topic varchar, inspector_id varchar, hours decimal(12, 6)
);
create table staff (
  inspector_id varchar, display_name varchar, started_on date, office varchar, role varchar
);
create view outcomes as
  select observation_facts.* exclude (
    observation_no, joist_nominal, hanger_nominal, hanger_height_in, joist_gap_in, holes_total, holes_filled,
    holes_empty, fastener_kind, fastener_length_in, fastener_position, nail_tip_seen_in_gap
  ) replace (
    case when ruling is null then criterion_id end as criterion_id,
    coalesce(ruling, verdict) as verdict,
    case when ruling is null then basis else 'second_look' end as basis,
    coalesce(look.outcome, observation_facts.outcome) as outcome,
    coalesce(told, reason) as reason,
    case when ruling is null then missing end as missing,
    second_look and ruling is null as second_look
  ),
  verdict as ruled,
  case when looked = 'random' then ruling else verdict end as counted_verdict,
  case when looked = 'random' then look.outcome else observation_facts.outcome end as counted_outcome
  from observation_facts
  left join (select observation_id, ruling, outcome, told, looked from standing_looks) as look using (observation_id);
create table trials (
  report_id varchar, deck_id varchar, topic varchar, inspected_on date, inspector_id varchar, region varchar,
  builder varchar, deck_age varchar, deck_height varchar, seen boolean, call varchar, verdict varchar, judged boolean,
  defect boolean, upheld boolean, overcalled boolean, missed boolean, understated boolean, rows integer,
  revisited boolean, deck_age_years integer, age_estimated boolean, looked varchar, ruled varchar
);
create table topics (
  topic varchar, title varchar, topic_group varchar, position integer, judged boolean, built boolean, plain varchar,
  habit varchar, caution varchar, weight integer
);
create table criteria (
  criterion_id varchar, topic varchar, title varchar, position integer, defect varchar, acceptable varchar,
  judgment varchar, plain varchar, caution varchar, weight integer, document varchar, edition varchar,
  section varchar, known varchar, needs varchar[], defect_told varchar, judgment_told varchar,
  acceptable_told varchar, applies varchar, rows_known varchar, jurisdiction varchar, author varchar, dated varchar
);
create table measures (
  measure varchar, title varchar, kind varchar, unit varchar, position integer, choices varchar[]
);
create table comment_reads (
  observation_id varchar, measure varchar, value varchar, text varchar, "start" integer, "end" integer, rule varchar
);
create table comment_conflicts (
  observation_id varchar, measure varchar, recorded varchar, read varchar, text varchar, "start" integer, "end" integer,
  rule varchar
);
create table loads (
  load_id varchar, file varchar, rows_read integer, rows_loaded integer, rows_replaced integer,
  rows_unchanged integer, rows_rejected integer, loaded_at timestamp, sha256 varchar, problem varchar
);
create table refused (
  load_id varchar, file varchar, row integer, report_id varchar, observation_no varchar, reasons varchar[],
  received map(varchar, varchar), input_table varchar
);
"""
