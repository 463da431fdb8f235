"""Pictures that a command leaves in a file: what is laid out, a plan, a tally, the next change."""

from typing import TYPE_CHECKING, cast

from bot.cli.outfile import OutFile
from bot.errors import DeckcallError

if TYPE_CHECKING:
    from bot.answers.view import View
    from bot.messages import Advice, Picture
    from bot.pictures.canvas import Form
    from bot.spread.plan import Plan
    from bot.trip.tally import Tally


def draw_spread(view: "View", file: OutFile) -> None:
    """Draw what is laid out; raises DeckcallError where nothing is, or the file cannot be written."""
    from bot.answers.drawing import spread_pictures

    _put(spread_pictures(view, _form(file)), file, "nothing is laid out, so there is no picture")


def draw_tally(
    view: "View", found: "Tally", below: str, file: OutFile, conversion: bool = False
) -> None:
    """Draw a tally, or what became of its strikes.

    Raises DeckcallError where nothing was counted, or the file cannot be written.
    """
    from bot.answers.drawing import conversion_pictures, tally_pictures

    draw = conversion_pictures if conversion else tally_pictures
    pictures = draw(view, found, below, _form(file))
    _put(pictures, file, "nothing was counted, so there is no picture")


def draw_advice(view: "View", advice: "Advice | None", file: OutFile) -> None:
    """Draw the next change; raises DeckcallError where there is none, or the file cannot be written."""
    from bot.answers.drawing import advice_pictures

    pictures = advice_pictures(view, advice, _form(file)) if advice is not None else ()
    _put(pictures, file, "no change is proposed now, so there is no picture")


def draw_plan(view: "View", plan: "Plan", file: OutFile) -> None:
    """Draw a plan; raises DeckcallError where it is empty, or the file cannot be written."""
    from bot.answers.drawing import plan_pictures

    _put(plan_pictures(view, plan, _form(file)), file, "the plan is empty, so there is no picture")


def _form(file: OutFile) -> "Form":
    return cast("Form", file.path.suffix[1:].lower() if file.path else "png")


def _put(pictures: "tuple[Picture, ...]", file: OutFile, none: str) -> None:
    if not pictures:
        raise DeckcallError(none)
    file.put(pictures[0].data)
