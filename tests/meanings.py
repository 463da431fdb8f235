"""Calls with what their words mean, read as the desk reads them, for the tests of every package."""

from dataclasses import replace
from functools import cache
from typing import Any

from bot.bench.corpus import corpus_language
from bot.calls.meant.attach import other_meanings, with_meanings
from bot.calls.meant.reader import Reader
from bot.calls.understand import Understanding
from bot.trip.acts import Act
from bot.trip.call import Call
from bot.trip.entry import Entry


@cache
def reader() -> Reader:
    """Return the reader of the call language with the box of the corpora."""
    return corpus_language().reader


def as_said(call: Call, text: str) -> Call:
    """Return a call with what it means where these were the words."""
    return with_meanings((call,), text, reader())[0]


def asked(text: str, act: Act = "ask_tally", **slots: Any) -> Call:
    """Return a question with what its words mean."""
    return as_said(Call(act, **slots), text)


def heard(text: str, *calls: Call, confidence: float = 0.98) -> Understanding:
    """Return calls as understood from words, with what those mean."""
    read = with_meanings(calls, text, reader())
    return Understanding(text, read, confidence, meant=other_meanings(text, reader()))


def noted(text: str) -> Call:
    """Return a note with what its words mean."""
    return as_said(Call("note", text=text), text)


def as_heard(entry: Entry) -> Entry:
    """Return an entry with what its words mean."""
    return replace(entry, call=as_said(entry.call, entry.text))
