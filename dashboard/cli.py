"""The command ``evenhand``. Each command imports what it needs when it runs, so that ``--help`` answers at once.

Exit codes: 0 done, refused rows included; 1 nothing published, ``--strict`` refused, or a whole file unreadable;
2 wrong usage. With ``--json`` one object goes to stdout; all else goes to stderr.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dashboard.terminal import working

if TYPE_CHECKING:
    from datetime import datetime

    from etl.load import Progress, Summary
    from etl.trial import Trial
    from etl.what_if import WhatIf

CAUTION = (
    "Verdicts rest on what was recorded. Local codes, the maker's instructions and licensed practice stand above "
    "them; nobody should act on a structure by this alone."
)

warehouse_option = click.option(
    "--warehouse",
    type=click.Path(path_type=Path, file_okay=False),
    envvar="EVENHAND_WAREHOUSE",
    default=Path("warehouse"),
    show_default="$EVENHAND_WAREHOUSE, else ./warehouse",
    help="The warehouse folder.",
)
criteria_file = click.Path(path_type=Path, exists=True, dir_okay=False)
json_option = click.option("--json", "as_json", is_flag=True, help="One JSON object on stdout.")


@click.group(epilog=CAUTION, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 110})
@click.version_option(package_name="evenhand")
def evenhand() -> None:
    """Re-reads every deck report of a home-inspection firm and judges each call against written criteria."""


def main() -> None:
    """Run the command; a known error is shown as its sentence, never as a trace."""
    with _sentences_for_errors():
        evenhand()


@contextmanager
def _sentences_for_errors() -> Iterator[None]:
    try:
        yield
    except BrokenPipeError:  # the reader of our output, say `head`, has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except Exception as error:
        sentence, code = _sentence_of(error)
        if sentence is None:
            raise
        click.echo(f"evenhand: {sentence}", err=True)
        sys.exit(code)


def _sentence_of(error: Exception) -> tuple[str | None, int]:
    """What to say of an error and the exit code; None where it is a fault of the program."""
    from dashboard.problems import Problem, WrongUsage
    from etl.errors import EvenhandError, UsageError

    if isinstance(error, EvenhandError | Problem):
        return str(error), 2 if isinstance(error, UsageError | WrongUsage) else 1
    if isinstance(error, OSError):
        where = f"{error.filename}: " if error.filename else ""
        return f"{where}{error.strerror or error}. Mend that and run this again.", 1
    duckdb = sys.modules.get("duckdb")
    if duckdb and isinstance(error, duckdb.IOException | duckdb.FatalException | duckdb.OutOfMemoryException):
        said = str(error).splitlines()[0]
        return f"The disk or the memory did not suffice ({said}). Nothing was published.", 1
    return None, 1


# ---- loading ---------------------------------------------------------------------------------------------------------


@evenhand.command()
@click.argument("sources", nargs=-1, required=True, metavar="SOURCE...")
@click.option("--mend", is_flag=True, help="The rows are mended ones, for reports that are there.")
@click.option("--strict", is_flag=True, help="Publish nothing where a row or a file is refused.")
@click.option("--criteria", type=criteria_file, help="The firm's own rules from now on; kept as criteria.toml.")
@click.option("--layout", type=criteria_file, help="How foreign tables map to the contract, from `layout suggest`.")
@json_option
@warehouse_option
def load(
    sources: tuple[str, ...],
    mend: bool,
    strict: bool,
    criteria: Path | None,
    layout: Path | None,
    as_json: bool,
    warehouse: Path,
) -> None:
    """Read, check and judge reports, and publish them.

    SOURCE is a CSV, XLSX, Parquet, JSON or JSON Lines file, a folder, a glob or a zip of them. Second looks,
    calibration rounds, training sessions and staff are recognized by their columns, in files of the same kinds.
    """
    from etl.load import load as load_reports

    with _progress_bar() as progress:
        summary = load_reports(
            list(sources),
            warehouse,
            mend=mend,
            strict=strict,
            criteria=criteria,
            layout=layout,
            progress=progress,
        )
    if as_json:
        click.echo(summary.model_dump_json(indent=2))
    else:
        _tell_load(summary)
    sys.exit(summary.exit_code)


@evenhand.group()
def layout() -> None:
    """How foreign tables map to the input table: a file that is proposed here, reviewed by a person, used by `load`."""


@layout.command()
@click.argument("sources", nargs=-1, required=True, metavar="FILE...")
def suggest(sources: tuple[str, ...]) -> None:
    """Propose a layout for foreign FILEs, as TOML on stdout. Nothing is loaded.

    FILE is a CSV, XLSX, Parquet, JSON or JSON Lines file, a folder, a glob or a zip of them; all that belong together.
    What is only likely is marked `confirmed = false`, and what the files do not say is a question mark: a person
    settles both, and `evenhand load FILE... --layout layout.toml` refuses to run before.
    """
    import tempfile

    from etl.layout.suggest import suggest as proposed
    from etl.readers import find_sources

    with tempfile.TemporaryDirectory(prefix="evenhand-") as scratch:
        click.echo(proposed(find_sources(list(sources), Path(scratch)), Path(scratch)), nl=False)


@layout.command("try")
@click.argument("sources", nargs=-1, required=True, metavar="FILE...")
@click.option("--layout", "tried", type=criteria_file, help="The layout, settled or not; else one is suggested.")
@json_option
def try_(sources: tuple[str, ...], tried: Path | None, as_json: bool) -> None:
    """Show what is open in a layout, and what it makes of the first ten rows of FILEs. Nothing is loaded.

    What a private column holds is masked. With --json also the files' columns, and the rows as they stand.
    """
    import tempfile

    from etl.layout.model import layout_text
    from etl.readers import find_sources
    from etl.trial import try_layout

    text = None if tried is None else layout_text(tried)
    with tempfile.TemporaryDirectory(prefix="evenhand-") as scratch:
        found = try_layout(find_sources(list(sources), Path(scratch)), Path(scratch), text)
    click.echo(found.model_dump_json(indent=1) if as_json else _tell_trial(found))


def _tell_trial(found: Trial) -> str:
    """The open questions of a layout, and each row as it would be read, for a person."""
    if not found.layout:
        return "These files are in the form of the input table; no layout is needed."
    lines = [f"{file.file}: {file.problem}" for file in found.files if file.problem]
    lines += [f"Open: {'.'.join(map(str, question.path))}: {question.ask}" for question in found.questions]
    for row in found.after.rows:
        cells = (f"{name}={cell}" for name, cell in zip(found.after.columns, row.cells, strict=True) if cell)
        lines.append(f"{row.file}, row {row.row}: {', '.join(cells)}")
        lines += [f"  refused: {reason}" for reason in row.reasons]
    return "\n".join(lines)


@contextmanager
def _progress_bar() -> Iterator[Progress]:
    """A bar on a terminal, nothing in a pipe."""
    if not sys.stderr.isatty():
        yield lambda doing, done: None
        return
    steps = 1000
    with click.progressbar(length=steps, file=sys.stderr, show_eta=False, item_show_func=lambda doing: doing) as bar:

        def progress(doing: str, done: float) -> None:
            bar.update(int(done * steps) - bar.pos, doing)

        yield progress


def _tell_load(summary: Summary) -> None:
    """What came of a load, for a person."""
    parts = {
        "new": summary.rows_loaded,
        "in place of an earlier version": summary.rows_replaced,
        "unchanged": summary.rows_unchanged,
        "refused": summary.rows_rejected,
    }
    told = ", ".join(f"{rows:,} {what}" for what, rows in parts.items() if rows)
    read = f"Read {_count(summary.rows_read, 'row')} from {_count(summary.files, 'file')}"
    click.echo(f"{read}: {told}." if told else f"{read}.")
    for notice in summary.notices:
        click.echo(f"Note: {notice}.")
    if summary.unknown_columns:
        click.echo(f"Not stored, since the contract does not know them: columns {', '.join(summary.unknown_columns)}.")
    for file in summary.unreadable:
        click.echo(f"Not read: {file.file}: {file.problem}", err=True)
    if summary.rows_rejected:
        click.echo("The refused rows and their reasons: `evenhand rejects`. Mended: `evenhand load FILE --mend`.")
    if summary.flips:
        click.echo(f"The rules changed: {_count(summary.flips, 'verdict')} flipped.")
    click.echo(_tell_published(summary))


def _tell_published(summary: Summary) -> str:
    if summary.strict_refused:
        return "Nothing was published: --strict was asked for, and something was refused."
    if not summary.published and summary.rows_unchanged:
        return f"Nothing new: snapshot {summary.snapshot} stands."
    if not summary.published:
        return "Nothing was published: no row could be loaded."
    holds = [_count(summary.reports, "report"), _count(summary.observations, "observation")]
    further = {
        "second look": summary.second_looks,
        "round call": summary.rounds,
        "training attendance": summary.sessions,
        "staff member": summary.staff,
    }
    holds += [_count(rows, what) for what, rows in further.items() if rows]
    return f"Published snapshot {summary.snapshot}: {', '.join(holds)}. To see what they show: `evenhand dashboard`."


def _count(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"


@evenhand.command()
@warehouse_option
def rejects(warehouse: Path) -> None:
    """The refused rows of the newest load, as CSV: where, why, and what was received."""
    from dashboard.export import write_csv
    from etl.rejects import newest_rejects

    write_csv(newest_rejects(warehouse).to_pandas(), sys.stdout)


@evenhand.command()
@json_option
@warehouse_option
def snapshots(as_json: bool, warehouse: Path) -> None:
    """The snapshots that are kept, oldest first."""
    from etl.warehouse import Warehouse

    kept = Warehouse(warehouse).snapshots() if warehouse.is_dir() else []
    if as_json:
        rows = [{"snapshot": each.id, "made_at": each.made_at.isoformat(), "current": each.current} for each in kept]
        click.echo(json.dumps({"snapshots": rows}, indent=2))
    elif not kept:
        click.echo(f"No snapshot in {warehouse} yet. Load reports with `evenhand load`.")
    for each in [] if as_json else kept:
        click.echo(f"{each.id}  {each.made_at:%d %b %Y %H:%M} UTC{'  read now' if each.current else ''}")


@evenhand.command()
@click.argument("snapshot")
@warehouse_option
def rollback(snapshot: str, warehouse: Path) -> None:
    """Go back to a snapshot that is kept. Nothing is deleted."""
    from etl.warehouse import Warehouse

    Warehouse(warehouse).rollback(snapshot)
    click.echo(f"Snapshot {snapshot} is read now.", err=True)


# ---- the catalog -----------------------------------------------------------------------------------------------------


@evenhand.command()
@click.argument("id", required=False)
@click.argument("file", required=False, type=click.Path(path_type=Path, exists=True, dir_okay=False))
@json_option
@warehouse_option
def criteria(id: str | None, file: Path | None, as_json: bool, warehouse: Path) -> None:
    """The catalog of topics and rules; with an ID, one topic or one rule in full.

    `evenhand criteria check FILE` says whether a firm's own rules could be used as they are; kept as criteria.toml
    in the warehouse folder, they hold from the next load on.
    """
    from etl.criteria.pages import catalog_list, page
    from etl.load import read_catalog

    if (id == "check") != (file is not None):
        raise click.UsageError("A FILE goes with `check`, and `check` with a FILE.")
    catalog = read_catalog(warehouse, file)
    if file is not None:
        click.echo(f"{file}: every rule in it could be used. The catalog with it: {catalog.version}.")
        return
    told = catalog_list(catalog) if id is None else page(catalog, id)
    click.echo(json.dumps(told.data, indent=2, ensure_ascii=False) if as_json else told.text)


@evenhand.command()
@click.option("--code-basis", metavar="GUIDELINE", help="As if every report were measured against it: IRC 2024, DCA 6.")
@click.option("--criteria", type=criteria_file, help="As if these were the firm's own rules.")
@json_option
@warehouse_option
def rejudge(code_basis: str | None, criteria: Path | None, as_json: bool, warehouse: Path) -> None:
    """Which verdicts another guideline or other local rules would flip, by topic. Nothing is published.

    With neither option: what the firm's settings and rules as they are now would flip at the next load.
    """
    from etl.what_if import what_if

    found = what_if(warehouse, code_basis, criteria)
    click.echo(json.dumps(found.as_dict(), indent=2) if as_json else _tell_what_if(found))


def _tell_what_if(found: WhatIf) -> str:
    tried = [f"every report measured against {found.code_basis}"] if found.code_basis else []
    tried += [f"the rules of {found.criteria}"] if found.criteria else []
    under = " and ".join(tried) or "the firm's settings and rules as they are now"
    lines = [
        f"Under {under}, {_count(found.flips, 'verdict')} of {found.observations:,} would flip. Nothing was published."
    ]
    for topic, flips in found.by_topic().items():
        changes = [change for change in found.changes if change.topic == topic]
        lines += ["", f"{changes[0].title} ({topic}): {flips:,}"]
        for change in changes:
            ways = f"{change.before.replace('_', ' ')} -> {change.after.replace('_', ' ')}"
            lines.append(f"  {change.call.replace('_', ' '):12}{ways:32}{change.observations:>8,}")
    return "\n".join(lines)


# ---- reading ---------------------------------------------------------------------------------------------------------


@evenhand.command()
@click.argument("name", required=False)
@click.option("--where", "conditions", multiple=True, metavar="COLUMN=VALUE", help="Keep these rows only.")
@click.option(
    "--format", "form", type=click.Choice(["csv", "json", "parquet", "xlsx"]), help="Else as FILE ends, or CSV."
)
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="A file instead of stdout.")
@click.option(
    "--reach",
    "reach",
    multiple=True,
    metavar="rule=SHARE|eye=SHARE|sentence=SHARE",
    help="For training_topics only: the share of wrong calls that training mends, where the rule was not known, "
    "where the eye missed it, and where a stock sentence fails. Else rule=0.5, eye=0.25 and sentence=1.",
)
@warehouse_option
def table(
    name: str | None,
    conditions: tuple[str, ...],
    form: str | None,
    out: Path | None,
    reach: tuple[str, ...],
    warehouse: Path,
) -> None:
    """Any table that the dashboard shows, unrounded; with no NAME, their list.

    Conditions on different columns hold together; of those on the same column any may hold.
    """
    from dashboard.export import about, write
    from dashboard.measures import tables
    from dashboard.measures.training_topics import Reach
    from dashboard.warehouse import Snapshot

    if name is None:
        if reach:
            raise click.UsageError("--reach goes with a table: evenhand table training_topics --reach rule=0.5.")
        for known in tables.TABLES.values():
            click.echo(f"{known.name:18}{known.answers}")
        return
    chosen = tables.find(name)
    wanted = [_condition(text) for text in conditions]
    with Snapshot.open(warehouse) as snapshot, working(f"Working out {name}"):
        frame = tables.table(snapshot, name, wanted, reach=Reach.told(reach) if reach else None)
        what = f"{chosen.name}: {chosen.answers} One row: {chosen.row}."
        asked = [*conditions, *(f"reach {text}" for text in reach)]
        told = about(snapshot.info, what, ", ".join(asked), chosen.columns)
    # What goes to the terminal itself is its own progress.
    with working(f"Writing {out}") if out else nullcontext():
        write(frame, out, form, told)


def _condition(text: str) -> tuple[str, str]:
    column, equals, value = text.partition("=")
    if not equals:
        raise click.UsageError(f"--where {text}: write COLUMN=VALUE, for instance topic=hanger_size.")
    return column.strip(), value.strip()


@evenhand.command()
@click.option("--topic", help="A topic of the catalog, such as hanger_size.")
@click.option("--pattern", help="A pattern_id of the tables patterns or misses.")
@click.option("--inspector", help="An inspector's code: own calls beside those of peers, who are not named.")
@click.option("--month", metavar="YEAR-MONTH", help="A month, as 2026-10: what moved in it beyond luck.")
@click.option("--sentence", metavar="ID", help="A sentence_id of the table stock_sentences.")
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), required=True, help="FILE.docx, .pdf, .html or .md."
)
@warehouse_option
def note(
    topic: str | None,
    pattern: str | None,
    inspector: str | None,
    month: str | None,
    sentence: str | None,
    out: Path,
    warehouse: Path,
) -> None:
    """Write a calibration note on a topic, a pattern or a stock sentence, or that of an inspector or of a month: DOCX,
    PDF, HTML or Markdown, as FILE ends."""
    if [topic, pattern, inspector, month, sentence].count(None) != 4:
        raise click.UsageError("Name one of --topic, --pattern, --inspector, --month and --sentence.")
    from dashboard import notes
    from dashboard.warehouse import Snapshot

    with Snapshot.open(warehouse) as snapshot, working(f"Writing {out}"):
        notes.write(snapshot, out, topic=topic, pattern=pattern, inspector=inspector, month=month, sentence=sentence)
    click.echo(f"Wrote {out}.", err=True)


@evenhand.command()
@click.option("--deck-age", type=click.IntRange(0, 150), metavar="YEARS", help="How old the deck is, in whole years.")
@click.option("--builder", help="Who built it, as the reports have it.")
@click.option("--region", help="The region, as the reports have it.")
@click.option("--height", type=click.FloatRange(0, 1200), metavar="INCHES", help="Its height above the ground.")
@click.option("--topic", "topics", multiple=True, help="Keep to this topic; may be given several times.")
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), help="FILE.docx, .pdf, .html or .md; else Markdown here."
)
@warehouse_option
def brief(
    deck_age: int | None,
    builder: str | None,
    region: str | None,
    height: float | None,
    topics: tuple[str, ...],
    out: Path | None,
    warehouse: Path,
) -> None:
    """Before you go: what this firm found and passed over on decks like the one you go to, on one page.

    It speaks of past decks. What is not known of the deck is left out.
    """
    from dashboard.measures.brief import deck
    from dashboard.notes.brief_note import brief_on
    from dashboard.notes.writing import render
    from dashboard.warehouse import Snapshot

    with Snapshot.open(warehouse) as snapshot, working("Looking for decks alike"):
        page = render(
            brief_on(snapshot, deck(snapshot, deck_age, region, height, builder), topics), out.suffix if out else ".md"
        )
    if out is None:
        click.echo(page.decode(), nl=False)
        return
    out.write_bytes(page)
    click.echo(f"Wrote {out}.", err=True)


@evenhand.command()
@click.option("--topic", required=True, help="A topic of the catalog, such as hanger_size.")
@click.option("--kind", help="One kind of call only: a pattern_id of the tables patterns or misses.")
@click.option("--count", type=click.IntRange(4, 60), default=12, show_default=True, help="How many cases.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    required=True,
    help="FILE.pdf, .docx, .html or .md: a quiz to print. FILE.csv or .xlsx: the sheet to fill in.",
)
@click.option("--round-id", metavar="ID", help="Of the calibration round; else one made from the cases.")
@click.option("--held-on", type=click.DateTime(["%Y-%m-%d"]), metavar="DAY", help="In a sheet: the day of the round.")
@click.option("--inspector", "inspectors", multiple=True, metavar="CODE", help="In a sheet: rows for each of them.")
@click.option("--with-answers", is_flag=True, help="In a sheet: known_verdict and the report's number too.")
@warehouse_option
def cases(
    topic: str,
    kind: str | None,
    count: int,
    out: Path,
    round_id: str | None,
    held_on: datetime | None,
    inspectors: tuple[str, ...],
    with_answers: bool,
    warehouse: Path,
) -> None:
    """Write a case pack on a topic: real cases both ways, without names, places or days.

    They are drawn by lot, the same from the same snapshot: calls that hold, that do not, that could not be judged, and
    cases near a limit. As PDF, DOCX, HTML or Markdown it is a quiz, with the answers on pages of their own. As CSV or
    XLSX it is the sheet of a calibration round: filled in, `evenhand load FILE` takes it, and `evenhand table
    round_results` tells what came of it.
    """
    from dashboard.export import case_sheet
    from dashboard.notes import case_pack, render
    from dashboard.warehouse import Snapshot

    suffix = case_pack.check_suffix(out)
    is_sheet = suffix in case_pack.SHEETS
    if not is_sheet and (held_on or inspectors or with_answers):
        raise click.UsageError("--held-on, --inspector and --with-answers are for a sheet: FILE.csv or FILE.xlsx.")
    with Snapshot.open(warehouse) as snapshot, working(f"Writing {out}"):
        made = case_pack.pack_on(snapshot, topic, kind, count, round_id)
        day = held_on.date() if held_on else None
        form = suffix.removeprefix(".")
        sheet = case_sheet(snapshot.info, made, form, inspectors, day, with_answers) if is_sheet else None
    out.write_bytes(sheet or render(made.pack, suffix))
    click.echo(f"Wrote {_count(len(made.pack.questions), 'case')} to {out}.", err=True)


@evenhand.command()
@click.option("--port", type=click.IntRange(1, 65535), help="Else the first free one.")
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
@warehouse_option
def dashboard(port: int | None, no_browser: bool, warehouse: Path) -> None:
    """Serve the dashboard on this machine. Ctrl-C ends it."""
    from dashboard.serve import serve

    sys.exit(serve(warehouse, port, not no_browser, click.echo))


@evenhand.command()
@click.option("--dir", "folder", type=click.Path(path_type=Path, file_okay=False), default=Path("evenhand-demo"))
@click.option("--port", type=click.IntRange(1, 65535), help="Else the first free one.")
@click.option("--no-serve", is_flag=True, help="Stop after the summary.")
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
def demo(folder: Path, port: int | None, no_serve: bool, no_browser: bool) -> None:
    """Make the invented sample firm's reports, load them, say what was found, and serve the dashboard."""
    from dashboard.findings import lines
    from dashboard.serve import serve
    from dashboard.warehouse import Snapshot
    from etl.load import load as load_reports
    from sample_warehouse.generate import write_firm

    reports, warehouse = folder / "reports", folder / "warehouse"
    click.echo(f"Writing the reports of an invented firm to {reports} …", err=True)
    write_firm(reports)
    with _progress_bar() as progress:
        load_reports([str(reports)], warehouse, progress=progress)
    with Snapshot.open(warehouse) as snapshot:
        for line in lines(snapshot, warehouse):
            click.echo(line)
    if not no_serve:
        sys.exit(serve(warehouse, port, not no_browser, click.echo))


if __name__ == "__main__":
    main()
