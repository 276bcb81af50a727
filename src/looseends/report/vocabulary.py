"""The words that the documents borrow from the catalogue: names, instructions and cautions by id."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Vocabulary:
    """Words by catalogue id; an id without an entry is shown as its own words, hyphens as spaces.

    `names`: checks, supports, watches, conditions. `how`: what to do, grip included, by check.
    `cautions`: by check or support. `resolution_mm`: a gauge's smallest step by watch, which sets the decimals.
    `where`: where a gauge's two ends or the eye are, by check and watch.
    """

    names: Mapping[str, str] = field(default_factory=dict)
    how: Mapping[str, str] = field(default_factory=dict)
    cautions: Mapping[str, str] = field(default_factory=dict)
    resolution_mm: Mapping[str, float] = field(default_factory=dict)
    where: Mapping[tuple[str, str], str] = field(default_factory=dict)

    def name(self, ident: str) -> str:
        """The name of a check, support, watch or condition."""
        return self.names.get(ident, ident.replace("-", " ").replace("_", " "))

    def cautions_of(self, *idents: str) -> tuple[str, ...]:
        """The cautions of the given check and support, each once."""
        found = (self.cautions[ident] for ident in idents if self.cautions.get(ident))
        return tuple(dict.fromkeys(found))
