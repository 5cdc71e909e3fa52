"""The keys of the cards and of the mix for the oil at hand."""

from typing import Annotated, TypedDict

from econ.answers.keys import Key


class CardCaution(TypedDict):
    """A caution at a step."""

    text: Annotated[str, Key("text", "In one line.")]
    basis: Annotated[str, Key("text", "What it stands on, for small print.")]


class CardStep(TypedDict):
    """One step of a card."""

    text: Annotated[str, Key("text", "What to do.")]
    cautions: Annotated[list[CardCaution], Key("text", "What can hurt at this step.")]


class CardTable(TypedDict):
    """A table of a card."""

    caption: Annotated[str, Key("text", "What it shows.")]
    heads: Annotated[list[str], Key("text", "Column heads.")]
    rows: Annotated[list[list[str]], Key("text", "Cells; empty ones are for a pencil.")]
    marked: Annotated[list[int], Key("count", "Rows to set in bold.")]


class Card(TypedDict):
    """One sheet."""

    key: Annotated[str, Key("text", "load, batch, mix or buying.")]
    title: Annotated[str, Key("text", "Its heading.")]
    lead: Annotated[str, Key("text", "The plan's own figures, in a line or two.")]
    steps: Annotated[list[CardStep], Key("text", "In order.")]
    tables: Annotated[list[CardTable], Key("text", "Figures, and blanks for a pencil.")]
    notes: Annotated[list[str], Key("text", "In small print.")]


class CardsDocument(TypedDict):
    """What `drumworth cards FILE` prints."""

    title: Annotated[str, Key("text", "The farm's title.")]
    units: Annotated[str, Key("choice", "us or metric.")]
    currency: Annotated[str, Key("text", "ISO 4217 code.")]
    cards: Annotated[list[Card], Key("text", "One sheet each.")]


class HandSeason(TypedDict):
    """What one machine gets of the oil at hand."""

    season: Annotated[str, Key("text", "all year, outside winter, or in winter.")]
    action: Annotated[str, Key("text", "What to do.")]
    thinner_share: Annotated[float | None, Key("share", "Thinner of the blend; null: none fits.")]
    least: Annotated[float | None, Key("share", "Least by the blending rules in print.")]
    most: Annotated[float | None, Key("share", "Most by them.")]
    planned: Annotated[float | None, Key("share", "The plan's own.")]
    volumes: Annotated[dict[str, float], Key("volume", "Thinner by volume of blend made.")]
    text: Annotated[str, Key("text", "It in words.")]


class HandMachine(TypedDict):
    """One machine and the oil at hand."""

    machine: Annotated[str, Key("text", "Which machine.")]
    thinner: Annotated[str | None, Key("text", "Its thinner; null: clean oil alone.")]
    seasons: Annotated[list[HandSeason], Key("text", "By season.")]


class HandDocument(TypedDict):
    """What `drumworth cards FILE --viscosity --at` prints."""

    title: Annotated[str, Key("text", "The farm's title.")]
    units: Annotated[str, Key("choice", "us or metric.")]
    currency: Annotated[str, Key("text", "ISO 4217 code.")]
    oil: Annotated[str, Key("text", "Source whose kind the oil is.")]
    viscosity: Annotated[float, Key("viscosity", "As measured.")]
    temperature: Annotated[float, Key("temperature", "At which it was measured.")]
    viscosity_40: Annotated[float, Key("viscosity", "The same oil at 40 °C.")]
    machines: Annotated[list[HandMachine], Key("text", "Each that may burn blend.")]
    notes: Annotated[list[str], Key("text", "How sure that is.")]
