"""Places that a name may mean: from the list that needs no network, or from a service."""

from typing import TYPE_CHECKING, Any

from planner.settings import Settings

if TYPE_CHECKING:
    from planner.weather.credits import Credit
    from planner.weather.search import Candidate


def find_places(
    settings: Settings, text: str, *, service: str | None = None, transport: Any = None
) -> "tuple[list[Candidate], Credit]":
    """Return the places that *text* may mean, and whose data they are.

    Parameters
    ----------
    service : the one to ask; None looks into the list that comes with the program
    transport : an ``httpx`` transport in place of the network, for tests

    Raises
    ------
    WorkshopError
        If the service isn't there, or may not be asked.
    WeatherError
        If it doesn't answer.
    """
    from planner.weather.credits import PLACE_LIST

    if service is None:
        from planner.weather.search import search_places

        return search_places(text), PLACE_LIST
    from planner.weather.choice import place_search
    from planner.weather.http import Web, open_client

    asked = place_search(settings.weather, service)
    with open_client(settings.contact, transport) as client:
        return asked.search(Web(client, contact=settings.contact), text), asked.credit
