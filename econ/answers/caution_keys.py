"""What every document has in common: amounts that may be undefined, and cautions."""

from typing import Annotated, TypedDict

from econ.answers.keys import Key

Amount = float | None
Amounts = dict[str, float | None]


class CautionDocument(TypedDict):
    """One caution, the gravest first."""

    key: Annotated[str, Key("text", "Which caution")]
    severity: Annotated[str, Key("text", "grave, serious or note")]
    gravity: Annotated[int, Key("count", "1 to 99, the gravest highest")]
    short: Annotated[str, Key("text", "In one line")]
    text: Annotated[str, Key("text", "In full")]
    basis: Annotated[str, Key("text", "What it rests on")]
