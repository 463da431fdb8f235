from bot.tackle import cautions


def test_each_topic_has_a_caution_and_all_open_with_the_deference() -> None:
    text = cautions.all_cautions()

    assert text.startswith(cautions.DEFER)
    assert all(cautions.caution(topic) in text for topic in cautions.TOPICS)


def test_the_deference_names_skipper_law_and_licensed_practice() -> None:
    for word in ("skipper", "law", "licensed practice", "seasons", "protected species"):
        assert word in cautions.DEFER


def test_a_caution_is_due_once_a_trip_and_in_a_fixed_order() -> None:
    assert cautions.due(("leader", "drag", "drag"), ()) == ("drag", "leader")
    assert cautions.due(("leader", "drag"), ("drag",)) == ("leader",)
    assert cautions.due(("leader",), ("leader",)) == ()


def test_nobody_is_told_to_raise_the_drag_to_lock_a_reel_or_to_wrap_the_leader() -> None:
    # what people have been hurt by; the text warns of it and never advises it
    assert "Never lock a reel" in cautions.caution("drag")
    for word in ("raise the drag", "more drag", "tighten", "take a wrap"):
        assert word not in cautions.all_cautions()
