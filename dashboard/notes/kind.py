"""One kind of call, as a note looks at it: what was written up of it, and what was passed over."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from dashboard.measures import lumber


@dataclass(frozen=True)
class Kind:
    """A pattern: its row of the table patterns and its row of the table misses, either of which may be lacking."""

    topic: str
    recorded: str
    wrote: dict[str, Any] | None
    missed: dict[str, Any] | None

    @property
    def judged(self) -> int:
        """Write-ups that could be judged."""
        return int(self.wrote["judged"]) if self.wrote else 0

    @property
    def overcalled(self) -> int:
        """Write-ups that do not hold."""
        return int(self.wrote["overcalled"]) if self.wrote else 0

    @property
    def passed_over(self) -> int:
        """Calls without a write-up that pass over a recorded defect."""
        return int(self.missed["missed"] + self.missed["understated"]) if self.missed else 0

    @property
    def passed_over_is_the_point(self) -> bool:
        """Whether more defects were passed over than write-ups fail."""
        return self.passed_over > self.overcalled

    @property
    def sizes(self) -> tuple[str, str] | None:
        """The joist's and the hanger's size, where the kind is a pair of them."""
        return lumber.pair(self.recorded) if self.topic == "hanger_size" else None

    @property
    def is_of_plies(self) -> bool:
        """Whether it is a hanger for more or fewer plies than the joist has."""
        return self.topic == "hanger_size" and self.recorded.endswith(" plies")

    @property
    def one_size_down_holds(self) -> bool:
        """Whether it is a hanger one size down, and most of its write-ups fail."""
        return self.sizes is not None and lumber.one_size_down(*self.sizes) and 2 * self.overcalled > self.judged
