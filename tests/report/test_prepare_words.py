"""What to prepare in a terminal: empty cases, many spells, doubtful yields."""

from planner.report.prepare_words import for_lines, prepare_lines

ANSWER = {
    "workshop": {"bench": "Bench"},
    "today": "2026-11-25",
    "spells": [],
    "prepare": [],
    "same_cane": [],
    "stock": [],
    "yields": [],
    "prepare_notes": [],
}
STEP = {"from_stage": "tied", "to_stage": "finished", "share": 0.6, "pieces_seen": 0}


def unwrapped(answer):
    """The lines as one, however they were wrapped."""
    return " ".join(" ".join(prepare_lines(answer, "dmy")).split())


def test_nothing_ahead_is_said_in_words():
    """An empty list is an answer too."""
    text = "\n".join(prepare_lines(ANSWER, "dmy"))
    assert "none ahead" in text
    assert "nothing to sort, gouge or order" in text


def test_many_spells_are_cut_short_and_counted():
    """Fifty places in winter don't fill the screen."""
    spells = [{"words": f"Dry spell {i}."} for i in range(30)]
    text = "\n".join(prepare_lines({**ANSWER, "spells": spells}, "dmy"))
    assert "Dry spell 7." in text
    assert "Dry spell 8." not in text
    assert "and 22 more" in text


def test_a_doubtful_yield_is_a_range_and_a_sure_one_a_number():
    """General experience spans 38 to 80; a thousand own pieces don't."""
    doubtful = {**STEP, "low_share": 0.38, "high_share": 0.80}
    sure = {**STEP, "low_share": 0.58, "high_share": 0.62, "pieces_seen": 1200}
    first = unwrapped({**ANSWER, "yields": [doubtful]})
    assert "finished 38\u201380" in first
    assert "general experience, none of your own" in first
    second = unwrapped({**ANSWER, "yields": [sure]})
    assert "finished 60 (from 1,200 pieces of your own)" in second


def test_a_plan_too_short_for_what_is_sorted_now_says_so():
    """With one week asked for, the week that cane is taken for isn't there."""
    place = {"name": "Far", "latitude": 1.0, "longitude": 2.0}
    answer = {"place": place, "today": "2026-11-25", "take": None, "weeks": []}
    text = "\n".join(for_lines(answer, "mdy"))
    assert text.startswith("Far (1.00, 2.00), Wed\u00a0Nov\u00a025\u00a02026")
    assert "ask for more --weeks" in text
