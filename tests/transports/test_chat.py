"""The conversation on the terminal, and through a pipe."""

import io
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.errors import AudioError
from bot.messages import Button, Message, Reply
from bot.transports import chat

AT = datetime(2026, 3, 1, 19, 0, tzinfo=UTC)


def _talk(lines: str, history: Path, heard: list[Message] | None = None) -> str:
    def answer(message: Message) -> Reply:
        if heard is not None:
            heard.append(message)
        match message.text:
            case "bad":
                raise RuntimeError("a fault")
            case "broken":
                raise AudioError("that recording is empty")
            case "talk":
                return Reply("")
            case "which":
                return Reply("Which?", buttons=(Button("1", "first"), Button("2", "second")))
        return Reply(f"heard: {message.text or message.name}")

    out = io.StringIO()
    chat.talk(
        answer, crew="Ana", history=history, clock=lambda: AT, stdin=io.StringIO(lines), stdout=out
    )
    return out.getvalue()


def test_a_pipe_is_read_line_by_line_and_answers_are_set_apart(tmp_path: Path) -> None:
    heard: list[Message] = []

    said = _talk("trip start\n\n  strike \r\n", tmp_path / "h", heard)

    assert said == "heard: trip start\n\nheard: strike\n\n"
    assert heard[0] == Message("Ana", AT, "console", text="trip start", private=True)


def test_what_is_to_be_said_unasked_stands_before_the_next_prompt(tmp_path: Path) -> None:
    waiting = [[], ["Check the lures for weed."], ["Sunset 20:24, in 30 min."], []]

    def unasked() -> list[str]:
        if not waiting:
            raise AudioError("whatever goes wrong")
        return waiting.pop(0)

    out = io.StringIO()
    chat.talk(
        lambda message: Reply(f"heard: {message.text}"), crew="Ana", history=tmp_path / "h",
        clock=lambda: AT, stdin=io.StringIO("trip start\n\nlines in\nstrike\n"), stdout=out,
        unasked=unasked,
    )  # fmt: skip

    assert out.getvalue().split("\n\n") == [
        "heard: trip start", "Check the lures for weed.", "Sunset 20:24, in 30 min.",
        "heard: lines in", "heard: strike", "",
    ]  # fmt: skip


def test_the_last_line_counts_without_a_line_end(tmp_path: Path) -> None:
    assert _talk("strike", tmp_path / "h") == "heard: strike\n\n"


def test_a_line_that_goes_wrong_ends_nothing(tmp_path: Path) -> None:
    said = _talk("bad\nbroken\nstrike\n", tmp_path / "h")

    assert "RuntimeError: a fault" in said
    assert "Not done: that recording is empty" in said
    assert said.endswith("heard: strike\n\n")


def test_talk_gets_no_answer_and_buttons_become_words(tmp_path: Path) -> None:
    assert _talk("talk\nwhich\n", tmp_path / "h") == "Which?\n(say first or second)\n\n"


def test_the_path_of_a_recording_is_a_voice_message(tmp_path: Path) -> None:
    path = tmp_path / "call one.ogg"
    path.write_bytes(b"OggS")
    heard: list[Message] = []

    _talk(
        f"'{path}'\n{tmp_path / 'missing.ogg'}\n{'x' * 5000}.ogg\n\x00.ogg\n", tmp_path / "h", heard
    )

    assert (heard[0].sound, heard[0].name, heard[0].text) == (b"OggS", "call one.ogg", None)
    assert [message.sound for message in heard[1:]] == [None, None, None]


def test_help_is_asked_for_without_its_stroke_and_quit_ends(tmp_path: Path) -> None:
    heard: list[Message] = []

    said = _talk("/help\n/quit\nstrike\n", tmp_path / "h", heard)

    assert said == "heard: help\n\n"
    assert [message.text for message in heard] == ["help"]


def test_words_wrap_at_spaces_and_what_goes_on_is_indented() -> None:
    text = "Strike, long rigger, Oil Lamp. 31 min in the water.\n  hook-up-of-a-long-word and more of it"

    assert chat.wrap_lines(text, 30).splitlines() == [
        "Strike, long rigger, Oil Lamp.", "  31 min in the water.",
        "  hook-up-of-a-long-word and", "    more of it",
    ]  # fmt: skip
    assert chat.wrap_lines("x" * 50, 30) == "x" * 50


NAMES = ("Paper Lantern", "Wet Slate", "long rigger")


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("set long rigger pap", [("Paper Lantern", 3)]),
        ("set long rigger paper l", [("Paper Lantern", 7)]),
        ("strike LON", [("long rigger", 3)]),
        ("strike on the long ri", [("long rigger", 7)]),
        ("wet slate", []),
        ("p", []),
        ("", []),
    ],
)
def test_names_of_several_words_are_completed(typed: str, offered: list[tuple[str, int]]) -> None:
    assert list(chat.completions(typed, NAMES)) == offered


def _helped(lines: str, history: Path, opening: str = "") -> str:
    out = io.StringIO()
    screens = chat.HelpScreens(opening, ("voice",), {"voice": "all about voice"}.get)
    chat.talk(
        lambda message: Reply(f"heard: {message.text}"), crew="Ana", history=history,
        clock=lambda: AT, stdin=io.StringIO(lines), stdout=out, screens=screens,
    )  # fmt: skip
    return out.getvalue()


@pytest.mark.parametrize("said", ["help voice", "/help voice", "Help with voice"])
def test_help_on_a_topic_is_its_page(tmp_path: Path, said: str) -> None:
    assert _helped(f"{said}\n", tmp_path / "h") == "all about voice\n\n"


def test_help_alone_is_answered_and_names_the_topics(tmp_path: Path) -> None:
    shown = _helped("/help\nhelp me with the gaff\n", tmp_path / "h")

    assert shown.split("\n\n")[:3] == [
        "heard: help", "More: help TOPIC, one of voice.", "heard: help me with the gaff",
    ]  # fmt: skip


def test_what_help_shows_may_be_a_screen_of_its_own(tmp_path: Path) -> None:
    assert _helped("help\n", tmp_path / "h", "Say it.").startswith("Say it.\n\nMore: ")


def test_help_in_other_words_is_the_same_screen(tmp_path: Path) -> None:
    out, reply = io.StringIO(), Reply("long", calls=({"act": "help"},))
    chat.talk(
        lambda _message: reply, crew="Ana", history=tmp_path / "h",
        stdin=io.StringIO("what can I say\n"), stdout=out,
        screens=chat.HelpScreens("short", ("voice",)),
    )  # fmt: skip

    assert out.getvalue() == "short\n\nMore: help TOPIC, one of voice.\n\n"
