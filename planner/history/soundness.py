"""What a check of the record found."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Held:
    """How many rows of a table hold now, and how many were replaced or taken back."""

    table: str
    now: int
    voided: int


@dataclass(frozen=True)
class Soundness:
    """What was found in the record; ``newest_copy`` is the newest one that is sound."""

    path: Path
    entries: int
    held: tuple[Held, ...]
    faults: tuple[str, ...]
    copies: int
    newest_copy: Path | None

    @property
    def sound(self) -> bool:
        """Whether no fault was found."""
        return not self.faults
