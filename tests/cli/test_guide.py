"""`deckcall guide`: contents, a page, a word; topics by other names."""

import pytest

from bot.cli import guide, main
from bot.cli.guide import topic_of


def test_the_contents_name_every_page(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["guide"]) == 0

    shown = capsys.readouterr().out
    assert all(f"\n{topic} " in shown for topic in guide.TOPICS)


@pytest.mark.parametrize(
    ("said", "topic"),
    [("hands", "hands-free"), ("tackle box", "tackle-box"), ("Telegram", "telegram"), ("restore", "keeping"),
     ("csv", "tackle-box"), ("t", None), ("", None), ("submarine", None)],
)  # fmt: skip
def test_a_topic_is_known_by_its_beginning_and_by_other_words(said: str, topic: str | None) -> None:
    assert topic_of(said) == topic


def test_a_page_goes_through_a_pipe_as_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["guide", "safety"]) == 0

    assert capsys.readouterr().out == guide.page("safety").text


def test_a_word_is_found_with_page_and_section(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["guide", "--find", "PORTAUDIO"]) == 0

    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith("hands-free (")
    assert "libportaudio2" in line


@pytest.mark.parametrize(
    ("args", "part"),
    [
        (["guide", "safty"], 'did you mean "safety"?'),
        (["guide", "--find", "xyzzy"], "stands nowhere"),
    ],
)
def test_what_is_not_there_is_said_in_one_line(
    args: list[str], part: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(args) == 1

    err = capsys.readouterr().err
    assert part in err
    assert err.count("\n") == 1
