"""What is in one oven at the same time."""

from dataclasses import dataclass

from domain.errors import DomainError, DomainErrors, OutOfRangeError, broken_limit

MAX_TINS, MAX_SHELVES, MAX_OPENINGS = 200, 20, 20  # our own limits


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenLoad:
    """What is in one oven at the same time: equal tins, the shelves they stand on, and how often the door is opened.

    A deck with its own heat counts as its own oven. Errors name the fields: `tins`, `shelves`, `openings`.
    """

    tins: int = 1
    shelves: int = 1
    openings: int = 0

    def __post_init__(self) -> None:
        """Check the numbers.

        Raises:
            DomainErrors: one error for each number outside its limits.
        """
        limits = (("tins", 1, MAX_TINS), ("shelves", 1, MAX_SHELVES), ("openings", 0, MAX_OPENINGS))
        errors: list[DomainError] = [
            OutOfRangeError(
                f"An oven's {name} are from {low} to {high}.",
                path=(name,),
                value=getattr(self, name),
                limit=broken_limit(getattr(self, name), low, high),
            )
            for name, low, high in limits
            if not low <= getattr(self, name) <= high
        ]
        if not errors and self.shelves > self.tins:
            message = "There are more shelves than tins on them."
            errors.append(OutOfRangeError(message, path=("shelves",), value=self.shelves, limit=self.tins))
        if errors:
            raise DomainErrors(errors)


ONE_TIN = OvenLoad()
