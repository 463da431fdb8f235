"""Ask which fish or lure is meant, where nothing that was said decides; buttons name them. Pure."""

from collections.abc import Sequence
from datetime import tzinfo

from bot.answers.view import View
from bot.messages import Button
from bot.replies.amounts import clock
from bot.replies.logged import short
from bot.trip.acts import AMEND, CAUGHT, FISH_ACTS, LOST, TAKES, UNDO
from bot.trip.call import Call
from bot.trip.corrections import undo_of
from bot.trip.decision import Unclear
from bot.trip.encounters import same_person
from bot.trip.entry import Entry
from bot.trip.fish import Fish
from bot.trip.meant import OfFish, OfSpeaker

Options = tuple[tuple[Call, ...], ...]
CHOICES = ("first", "second", "third", "fourth")
"""Labels of buttons that choose one of several."""
_TOLD_BY = ("position", "species", "angler", "lure")
_SHOWN = ("position", "angler", "species", "lure", "of_clock", "of_position")


def which_fish(unclear: Unclear, calls: Sequence[Call], view: View) -> tuple[str, Options]:
    """Return the question and its readings; each has the call pinned to one of the fish."""
    if unclear.entry is not None:
        return _another(unclear.entry, unclear, calls, view)
    if unclear.lures:
        return _which_lure(unclear, calls)
    fish = unclear.fish[: len(CHOICES)]
    if unclear.call.act == AMEND:
        return _which_named(fish, unclear, calls, view)
    names = [_named(one) for one in fish]
    options = tuple(_with(calls, unclear.place, _pinned(unclear.call, one)) for one in fish)
    return f"Which fish: {', '.join(names[:-1])} or {names[-1]}?", options


def _which_named(
    fish: Sequence[Fish], unclear: Unclear, calls: Sequence[Call], view: View
) -> tuple[str, Options]:
    """Return the question which fish of the trip a correction is about, each by time, line and name."""
    names = [told_fish(one, view.tz) for one in fish]
    options = tuple(_with(calls, unclear.place, _chosen(unclear.call, one, view)) for one in fish)
    return f"Which fish: {', '.join(names[:-1])} or {names[-1]}?", options


def _chosen(call: Call, fish: Fish, view: View) -> Call:
    """Return a correction that is about one fish and no other."""
    at = clock(fish.ended_at or fish.first_at, view.tz)
    return _about(call, fish).with_slots(of_clock=at, of_position=fish.position)


def _about(call: Call, fish: Fish) -> Call:
    rest = tuple(one for one in call.meant if not isinstance(one, OfFish))
    return call.with_slots(meant=(*rest, OfFish(fish=fish.id)))


def told_fish(fish: Fish, tz: tzinfo) -> str:
    """Return a fish by its time, its line, its name and its angler: "the 09:14 mahi-mahi, shotgun, Sadie"."""
    when = clock(fish.ended_at or fish.first_at, tz)
    more = [word for word in (fish.line or fish.position, fish.angler) if word]
    return ", ".join((f"the {when} {fish.species or 'fish'}", *more))


def _which_lure(unclear: Unclear, calls: Sequence[Call]) -> tuple[str, Options]:
    """Return the question which lure is meant; of many it offers a few and asks for another name."""
    names = unclear.lures[: len(CHOICES)]
    more = "" if len(unclear.lures) <= len(CHOICES) else " If it is another, say its name."
    before, after = calls[: unclear.place], calls[unclear.place + 1 :]
    bare = unclear.call.with_slots(colours=(), size_in=None, head=None)
    options = tuple((*before, bare.with_slots(lure=name), *after) for name in names)
    return f"Which lure: {', '.join(names[:-1])} or {names[-1]}?{more}", options


def of_the_speaker(unclear: Unclear, calls: Sequence[Call], crew: str) -> tuple[Call, ...] | None:
    """Return the calls about the fish on whose rod the speaker is; None where that decides nothing.

    "Mine" is else the fish that the speaker called on, or the only one that nobody else has.
    """
    if unclear.call.meaning(OfFish) is not None:
        return None
    own = [one for one in unclear.fish if same_person(one.angler, crew or None) == 2]
    if not own and crew and _is_mine(unclear.call, crew):
        free = [one for one in unclear.fish if one.angler is None]
        own = free if len(free) == 1 else [f for f in free if same_person(f.hookup_crew, crew) == 2]
    if len(own) != 1:
        return None
    pin = _about if unclear.call.act == AMEND else _pinned
    return _with(calls, unclear.place, pin(unclear.call, own[0]))


def _is_mine(call: Call, crew: str) -> bool:
    return call.meaning(OfSpeaker) is not None or same_person(call.angler, crew) == 2


def is_another(options: Options) -> bool:
    """Return whether a question asks if this is another fish, which is then its first reading."""
    return len(options) > 1 and any(call.act == UNDO and call.of_act for call in options[1])


def choice_buttons(options: Options) -> tuple[Button, ...]:
    """Return a button for each of several readings, by what tells them apart."""
    if is_another(options):
        return Button("Another fish", CHOICES[0]), Button("The same", CHOICES[1])
    return tuple(
        Button(_told_by(option, options, n), say)
        for n, (option, say) in enumerate(zip(options, CHOICES, strict=False))
    )


def chosen_by_name(said: Call, options: Options) -> int | None:
    """Return which reading is the only one with the position, species or angler that was said."""
    words = [(slot, getattr(said, slot)) for slot in (*_TOLD_BY, "clock")]
    named = [(slot, value) for slot, value in words if value is not None]
    fits = [
        n
        for n, option in enumerate(options)
        if named and any(all(v in _of(call, s) for s, v in named) for call in option)
    ]
    return fits[0] if len(fits) == 1 else None


def _of(call: Call, slot: str) -> tuple[str | None, ...]:
    """Return what a reading has in a slot, and of a correction what names its fish."""
    return getattr(call, slot), getattr(call, f"of_{slot}", None)


def _another(
    entry: Entry, unclear: Unclear, calls: Sequence[Call], view: View
) -> tuple[str, Options]:
    logged = f"{short(entry.call)} was logged at {clock(entry.at, view.tz)}"
    undo = undo_of(entry)
    call = unclear.call
    instead = (undo, call) if call.act in CAUGHT | LOST else (undo,)
    same = (*calls[: unclear.place], *instead, *calls[unclear.place + 1 :])
    question = f"{logged[:1].upper()}{logged[1:]}. Is this another fish, or the same?"
    return question, (tuple(calls), same)


def _with(calls: Sequence[Call], place: int, call: Call) -> tuple[Call, ...]:
    """Return the calls with one pinned to a fish, and the later ones of the same fish with it."""
    after = tuple(
        _follows(later, call) if later.act in FISH_ACTS else later for later in calls[place + 1 :]
    )
    return (*calls[:place], call, *after)


def _follows(later: Call, call: Call) -> Call:
    if later.position or not call.position:
        return later
    return later.with_slots(position=call.position, side=call.side)


def _pinned(call: Call, fish: Fish) -> Call:
    if fish.position is not None:
        angler = call.angler or (fish.angler if "angler" in TAKES[call.act] else None)
        return call.with_slots(position=fish.position, side=call.side or fish.side, angler=angler)
    if fish.angler is not None:
        return call.with_slots(angler=fish.angler)
    return call.with_slots(species=fish.species)


def _named(fish: Fish) -> str:
    where = fish.line or fish.position
    more = ", ".join(word for word in (fish.species, fish.angler) if word)
    if where:
        return f"the {where} ({more})" if more else f"the {where}"
    return f"the {fish.species or 'fish'}" + (f" ({fish.angler})" if fish.angler else "")


def _told_by(option: tuple[Call, ...], options: Options, number: int) -> str:
    """Return the words that tell an option from the others."""
    for slot in _SHOWN:
        values = [
            next((getattr(c, slot) for c in one if getattr(c, slot)), None) for one in options
        ]
        if values[number] is not None and values.count(values[number]) == 1:
            side = next((c.side for c in option if c.position == values[number]), None)
            name = str(values[number])
            if slot == "lure":
                return name
            return (
                f"{side} {name}".capitalize() if side and slot == "position" else name.capitalize()
            )
    return CHOICES[number].capitalize()
