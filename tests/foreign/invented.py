"""Invented firms' visits: decks, clients and what was seen, in the words and units of the contract.

This is the truth from which both the foreign files and ``expected.csv`` are written; neither is read from the other.
Sentences and cases stand in ``cases.toml``. Phones are of the range 555-01xx, mails at example.com.
"""

from __future__ import annotations

import random
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from pathlib import Path
from string import Formatter

Row = dict[str, str]

CASES = tomllib.loads(Path(__file__).with_name("cases.toml").read_text(encoding="utf-8"))
#: What stands in an expected comment where a private string stood in the foreign one.
MARK = "[private]"
#: A millimeter is 1/25.4 in exactly (international inch, 1959).
INCHES = {"in": Decimal(1), "ft": Decimal(12), "mm": 1 / Decimal("25.4"), "cm": 1 / Decimal("2.54")}

_BEGINNINGS = ("Tarro", "Bexen", "Ummer", "Quarren", "Fossel", "Wimbra", "Ottle", "Pendra", "Skerri", "Vellin")
_ENDINGS = ("wick", "foldt", "dagh", "thorple", "meriss", "lingot")
_GIVEN = ("Odelia", "Barnaby", "Philippa", "Cosmo", "Tabitha", "Ignatz", "Rosamund", "Leopold", "Winifred", "Thaddeus")
_STREETS = ("Quillfeather Lane", "Old Sawpit Road", "Tansy Court", "Mumblecrust Street", "Far Paddock Way")
_PLANTS = (
    " Showed this to {title} {surname}.",
    " Call {name} at {phone} before going back.",
    " Photos were sent to {mail}.",
    " The key is at {street}, ask for {surname}.",
    " {name} says that it has always been so.",
    " Questions to {mail} or {phone}.",
)
_REFERRED = ("Have an engineer look at it.", "A deck builder should look further into this.", "Get a second opinion.")
_ADVISED = ("Keep an eye on it.", "Improve when the deck is next worked on.", "Worth doing, not urgent.")
_FINE = ("", "", "", "", "Looks right.", "Nothing to note.", "As it should be.", "Fine where it could be seen.")
#: Why a part is not seen, with the sentence that may stand beside it.
UNSEEN = {
    "low_clearance": "Too low to crawl under.",
    "skirting": "Closed off by lattice all around.",
    "snow_ice": "Under snow that day.",
    "stored_items": "Firewood was piled against it.",
    "vegetation": "Overgrown.",
    "no_access": "Gate was locked.",
}
_PLACES = ("left side", "right side", "near the steps", "at the house", "outer corner", "under the door", "")


@dataclass(frozen=True)
class Client:
    """Somebody who must not be known after a load."""

    name: str
    surname: str
    street: str
    phone: str
    mail: str

    def strings(self, fields: Iterable[str]) -> set[str]:
        """What some of the fields say."""
        return {getattr(self, field) for field in fields}


@dataclass
class Visit:
    """A report: the facts that all of its rows share, its client, and what was seen."""

    facts: Row
    client: Client
    rows: list[Row] = field(default_factory=list)
    town: str = ""


@dataclass
class Firm:
    """What an invented firm's visits are drawn from.

    Attributes
    ----------
    report_id
        How the number of a report is written; ``{n}`` is its number, ``{year}`` the year.
    columns
        The columns of the contract that the firm's form has; nothing else is recorded.
    voice
        What its inspectors put before a sentence.
    phone
        How a phone number is written; ``{n}`` is its last two digits.
    holds
        What of a client stands in columns of its own. Phones and mails can be told by their form, wherever they
        stand; a name or a street only where the row says in a column of its own what it is.
    """

    seed: int
    report_id: str
    inspectors: tuple[str, ...]
    regions: tuple[str, ...]
    builders: tuple[str, ...]
    topics: tuple[str, ...]
    columns: tuple[str, ...]
    voice: tuple[str, ...] = ("",)
    phone: str = "555-01{n:02}"
    holds: tuple[str, ...] = ("name", "street", "phone", "mail")
    first: date = date(2022, 3, 1)
    days: int = 1300
    n_sites: int = 40
    calls: dict[str, int] = field(
        default_factory=lambda: {"passed": 46, "written_up": 34, "advised": 8, "referred": 6, "not_seen": 6}
    )

    def __post_init__(self) -> None:
        self.dice = random.Random(self.seed)
        self.sites = [self._site(n) for n in range(1, self.n_sites + 1)]
        self.clients = [self._client(n) for n in range(60)]

    def _client(self, n: int) -> Client:
        surname = _BEGINNINGS[n % 10] + _ENDINGS[n // 10]
        given = self.dice.choice(_GIVEN)
        street = f"{self.dice.randint(3, 198)} {self.dice.choice(_STREETS)}"
        mail = f"{given.lower()}.{surname.lower()}@example.com"
        return Client(f"{given} {surname}", surname, street, self.phone.format(n=n + 20), mail)

    def _site(self, n: int) -> Row:
        dice = self.dice
        return {
            "region": dice.choice(self.regions),
            "property_id": f"S{n:03}",
            "deck_id": f"S{n:03}-A",
            "deck_built_year": str(dice.randint(1978, self.first.year - 1)),
            "deck_built_basis": dice.choice(("permit", "owner", "estimate")),
            "builder": dice.choice(self.builders),
            "deck_height_in": str(dice.randint(10, 140)),
            "ledger_attached": dice.choice(("true", "true", "true", "false")),
        }

    def known(self, row: Row) -> Row:
        """A row without what the firm's form does not ask for, and without blanks."""
        return {name: value for name, value in row.items() if value and name in self.columns}

    def visits(self, n: int, least: int, most: int) -> list[Visit]:
        """So many reports, of so many observations each, in the order of their days."""
        dice = self.dice
        days = sorted(self.first + timedelta(dice.randrange(self.days)) for _ in range(n))
        made = []
        for number, day in enumerate(days, 1001):
            facts = dice.choice(self.sites) | {
                "report_id": self.report_id.format(n=number, year=day.year),
                "inspected_on": str(day),
                "inspector_id": dice.choice(self.inspectors),
            }
            visit = Visit(self.known(facts), dice.choice(self.clients))
            topics = dice.sample(self.topics, min(dice.randint(least, most), len(self.topics)))
            for at, topic in enumerate(sorted(topics, key=self.topics.index), 1):
                visit.rows.append(visit.facts | self.observation(topic, str(at)))
            made.append(visit)
        return made

    def observation(self, topic: str, number: str, call: str | None = None) -> Row:
        """What is said of a topic; the call by the firm's shares where it is not given."""
        dice, case = self.dice, CASES[topic]
        call = call or dice.choices(list(self.calls), list(self.calls.values()))[0]
        row = {"observation_no": number, "topic": topic, "call": call, "place": dice.choice(_PLACES)}
        if call == "not_seen":
            reason = dice.choice(list(UNSEEN))
            return self.known(row | {"not_seen_reason": reason, "comment": dice.choice(("", UNSEEN[reason]))})
        row |= dice.choice(case.get(call, case["passed" if call == "passed" else "written_up"]))
        if call == "passed":
            return self.known(row | {"comment": dice.choice(_FINE)})
        todo = {"written_up": case["todo"], "referred": _REFERRED, "advised": _ADVISED}[call]
        said = dice.choice(self.voice) + dice.choice(case["said"])
        row |= {"comment": said, "recommendation": dice.choice(todo), "photo_count": str(dice.randint(0, 4))}
        row["consequence"] = str(dice.randint(1, 3)) if call == "written_up" else ""
        row["checked"] = str(dice.randint(4, 20)) if dice.random() < 0.4 else ""
        row["affected"] = str(dice.randint(1, int(row["checked"]))) if row["checked"] else ""
        return self.known(row)

    def planted(self, client: Client) -> tuple[str, str, set[str]]:
        """A sentence with something private in it, the same with marks in its place, and what was private."""
        known = {*self.holds, "surname", "phone", "mail"}
        sentence = self.dice.choice([each for each in _PLANTS if _fields(each) <= known | {"title"}])
        title = self.dice.choice(("Mr.", "Mrs.", "Ms."))
        there = sentence.format(title=title, **vars(client))
        marked = sentence.format(title=title, **dict.fromkeys(vars(client), MARK))
        return there, marked, client.strings(_fields(sentence) - {"title"})


def _fields(sentence: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(sentence) if name}


def plain(number: Decimal) -> str:
    """A number as the contract keeps it: six decimals, no zeros at the end."""
    text = f"{number.quantize(Decimal('0.000001'), ROUND_HALF_UP):f}"
    return text.rstrip("0").rstrip(".")


def in_inches(number: Decimal, unit: str) -> str:
    """A length in inches, as the contract keeps it."""
    return plain(number * INCHES[unit])


def measured(inches: str, unit: str, step: str = "0.1") -> Decimal:
    """What somebody with a tape in that unit reads off a length of so many inches."""
    step_of = Decimal(step)
    return (Decimal(inches) / INCHES[unit] / step_of).quantize(Decimal(1), ROUND_HALF_UP) * step_of


def fraction(inches: str, between: str = "-") -> str:
    """Inches with a fraction, ``1-1/2``, as carpenters write them."""
    whole, rest = divmod(Fraction(inches), 1)
    if not rest:
        return str(whole)
    return f"{whole}{between}{rest}" if whole else str(rest)


def feet_and_inches(inches: str) -> str:
    """``7'-6"``."""
    feet, rest = divmod(Fraction(inches), 12)
    return f"{feet}'-{fraction(str(rest), ' ')}\""


def ordered(day: str, order: str) -> str:
    """An ISO date written another way, by a strftime pattern."""
    return date.fromisoformat(day).strftime(order)
