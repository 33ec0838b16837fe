"""How one of our functions answers a check-value file: its arguments and outputs renamed."""

from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from typing import Any

Answer = Callable[..., dict[str, Any]]


def answered(
    function: Callable[..., Any],
    *,
    arguments: Mapping[str, str] | None = None,
    outputs: Mapping[str, str] | str | None = None,
) -> Answer:
    """Call ``function`` with the file's names for its ``arguments`` and hand back the file's ``outputs``.

    Both map the file's name to ours; names that are the same need no entry. A single number has its name
    as a text.
    """

    def answer(**given: Any) -> dict[str, Any]:
        result = function(**{(arguments or {}).get(name, name): value for name, value in given.items()})
        if isinstance(outputs, str):
            return {outputs: result}
        if not is_dataclass(result) or isinstance(result, type):
            raise TypeError(f"the result of {function.__name__} needs one name, got {type(result).__name__}")
        theirs = {ours: theirs for theirs, ours in (outputs or {}).items()}
        return {theirs.get(name, name): value for name, value in vars(result).items()}

    return answer


def either_way(*answers: tuple[str, Answer]) -> Answer:
    """The first answer whose argument was given: conversions that a file asks in both directions."""

    def answer(**given: Any) -> dict[str, Any]:
        for argument, way in answers:
            if argument in given:
                return way(**given)
        raise TypeError(f"one of {', '.join(name for name, _ in answers)} is wanted")

    return answer
