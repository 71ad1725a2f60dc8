"""The chart of a gouger's checks."""

from planner.report.charts.gouger import gouger_picture
from tests.report import invented
from tests.report.page_walk import plain, walk


def test_every_check_is_shown_and_the_average_starts_anew_with_each_event():
    """A ring or a diamond a check; three runs, each with an average and two limits."""
    document = invented.gouge_document()
    (state,) = document.gougers
    page = walk(gouger_picture(document, state, "g"))
    called = sum(point.called for point in state.points)
    assert 0 < called < len(state.points)
    classes = [element.attributes.get("class", "") for element in page.elements]
    assert classes.count("called") == called
    assert classes.count("check") == len(state.points) - called
    assert (classes.count("cane-line"), classes.count("limit")) == (3, 6)
    assert f"It was outside at {called} of them." in plain(page.all("desc")[0].text)


def test_of_many_checks_the_last_sixty_are_shown():
    """As many as the page's tables hold."""
    document = invented.gouge_document(90)
    (state,) = document.gougers
    page = walk(gouger_picture(document, state, "g"))
    classes = [element.attributes.get("class", "") for element in page.elements]
    assert len(state.points) > 60
    assert classes.count("check") + classes.count("called") == 60
    assert plain(page.all("desc")[0].text).startswith("60 checks from ")


def test_without_checks_there_is_no_picture():
    """Nor an empty frame."""
    document = invented.gouge_document(0)
    assert gouger_picture(document, document.gougers[0], "g") == ""
