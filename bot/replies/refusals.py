"""What the crew reads where nothing was logged: that it was not, and what to do. Pure."""


def explain_not_heard(problem: str) -> str:
    """Return why a recording was of no use; `problem` says what to do."""
    return f"Not logged: {problem}."


def kept_for_later(problem: str) -> str:
    """Return that a recording was not heard yet, and that it is kept."""
    return (
        f"Not logged: {problem}. Say it again, or type it. "
        "The recording is kept; deckcall hear --retry takes it up again."
    )


def too_late(said: str) -> str:
    """Return that words about what had just been logged were heard only when other calls had come."""
    return f'Not done: "{said}" was about what was logged then. Say it again, or put it right.'


def explain_no_call(text: str) -> str:
    """Return that a recording was heard in which no call was found."""
    heard = f' I heard "{text}".' if text else ""
    return f"Not logged, I did not catch that.{heard} Say it again, or type it."


def not_clear(text: str) -> str:
    """Return that words were made out that would be a call, but not surely enough."""
    return f'Not done: I may have heard "{text}", but not clearly. Say it again, or type it.'


def no_call(text: str) -> str:
    """Return the sentence that a typed line was no call, for one who waits for an answer."""
    return f'Not logged: no call in "{text}". Say help to see what can be called.'


def if_in_trouble() -> str:
    """Return what to say in trouble, where a line may have been a cry for help and nothing was noted."""
    return 'If anyone is in trouble, say "mayday" or what it is ("man overboard"): it is noted at once.'


def none_without_fish() -> str:
    """Return that no line can come in but those with a fish."""
    return "Nothing to bring in: no line without a fish is out."


def not_yours(owner: str) -> str:
    """Return that only the skipper takes back what somebody else logged."""
    return f"Not done: {owner} logged that; {owner} or the skipper can take it back."


def not_your_question(asker: str) -> str:
    """Return that a question waits for the one who was asked, or for a skipper."""
    return f"Not done: that was asked of {asker}; {asker} or the skipper can answer it."
