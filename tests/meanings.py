"""Calls with what their words mean, read as the desk reads them, for the tests of every package."""

from dataclasses import replace
from functools import cache

from bot.bench.corpus import corpus_language
from bot.calls.meant.attach import with_meanings
from bot.calls.meant.reader import Reader
from bot.trip.call import Call
from bot.trip.entry import Entry


@cache
def reader() -> Reader:
    """Return the reader of the call language with the box of the corpora."""
    return corpus_language().reader


def as_said(call: Call, text: str) -> Call:
    """Return a call with what it means where these were the words."""
    return with_meanings((call,), text, reader())[0]


def noted(text: str) -> Call:
    """Return a note with what its words mean."""
    return as_said(Call("note", text=text), text)


def as_heard(entry: Entry) -> Entry:
    """Return an entry with what its words mean."""
    return replace(entry, call=as_said(entry.call, entry.text))
