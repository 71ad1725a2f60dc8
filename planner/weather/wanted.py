"""What the settings say of weather services. Standard library only: the bench path reads it."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Wanted:
    """Which services are asked; None leaves the choice to us, "none" asks nobody."""

    ahead: str | None = None
    past: str | None = None
    open_meteo_noncommercial: bool = False
    open_meteo_apikey_env: str | None = None
    urls: Mapping[str, str] = field(default_factory=dict)
