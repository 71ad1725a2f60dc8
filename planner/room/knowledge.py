"""What the maker knows of a room before any reading is taken."""

from dataclasses import dataclass


@dataclass(frozen=True)
class RoomKnowledge:
    """What is known of a room; None where nothing is, and the prior speaks.

    Attributes
    ----------
    winter_c : set-point of the heating. [°C]
    heated : False for a room without heating
    humidify_to_pct : relative humidity that a humidifier holds at least. [%]
    dehumidify_to_pct : relative humidity that a dehumidifier holds at most. [%]
    air_conditioned : True where the room is cooled in hot weather
    damp : True where ground or walls give water, as in a cellar
    hygrometer_offset_pct : what the hygrometer shows too much, to be taken off. [%]
    """

    winter_c: float | None = None
    heated: bool = True
    humidify_to_pct: float | None = None
    dehumidify_to_pct: float | None = None
    air_conditioned: bool = False
    damp: bool = False
    hygrometer_offset_pct: float = 0.0
