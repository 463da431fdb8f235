"""What has happened since a question was put, or a change proposed. Pure."""

from bot.answers.view import View
from bot.trip.acts import PLACING
from bot.trip.entry import Advised, Entry


def is_offer(before: View) -> bool:
    """Return whether the message with the question was logged all the same."""
    asked = before.asked
    made = (r.message for r in before.records if isinstance(r, Entry))
    return asked is not None and bool(asked.message) and asked.message in made


def is_fresh(before: View) -> bool:
    """Return whether nothing was logged or asked since the question."""
    asked, latest = before.asked, before.questions[:1]
    later = (r.id for r in before.records if isinstance(r, Entry | Advised))
    if asked is None or any(one.options and one.id != asked.id for one in latest):
        return False
    return all(one <= asked.id for one in later)


def undisturbed(before: View) -> bool:
    """Return whether nothing was logged since the change was proposed."""
    last = next((r for r in reversed(before.records) if isinstance(r, Entry | Advised)), None)
    return isinstance(last, Advised)


def can_be_made(before: View) -> bool:
    """Return whether the line is as it was when the change was proposed."""
    advised = before.advised
    if advised is None:
        return False
    since = (entry.call for entry in before.stood if entry.id > advised.id)
    where = (advised.advice.position, None)
    return not any(call.act in PLACING and call.position in where for call in since)
