"""How this house says no: which field, what was wrong with it, and what would do."""

from __future__ import annotations

from collections.abc import Iterable


class Refused(Exception):  # noqa: N818 - it is an answer, and reads as one
    """Input that can't be taken.

    `field` is the name the sender used (dotted for nested ones), `problem` says what was wrong, `remedy` what
    would do. All three are plain sentences or parts of one, fit to be shown.
    """

    def __init__(self, field: str, problem: str, remedy: str) -> None:
        super().__init__(field, problem, remedy)
        self.field = field
        self.problem = problem
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.field}: {self.problem}; {self.remedy}"

    @property
    def refusals(self) -> tuple[Refused, ...]:
        """The single refusals in it: itself."""
        return (self,)

    def under(self, prefix: str) -> Refused:
        """The same refusal seen from one level up: `size_mm` under `entries.3` is `entries.3.size_mm`."""
        return Refused(f"{prefix}.{self.field}" if self.field else prefix, self.problem, self.remedy)


class RefusedMany(Refused):
    """Several refusals at once, so that the sender can mend them in one go. It speaks for the first of them."""

    def __init__(self, refusals: Iterable[Refused]) -> None:
        several = tuple(single for refusal in refusals for single in refusal.refusals)
        if not several:
            raise ValueError("RefusedMany needs at least one refusal.")
        super().__init__(several[0].field, several[0].problem, several[0].remedy)
        self.args = (several,)
        self._several = several

    def __str__(self) -> str:
        return " | ".join(str(refusal) for refusal in self._several)

    @property
    def refusals(self) -> tuple[Refused, ...]:
        return self._several

    def under(self, prefix: str) -> RefusedMany:
        return RefusedMany(refusal.under(prefix) for refusal in self._several)


__all__ = ["Refused", "RefusedMany"]
