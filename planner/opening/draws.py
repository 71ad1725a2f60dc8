"""What the model hands on: draws of everything that decides how far a coming reed stands open."""

from dataclasses import dataclass

from planner.opening.observations import Floats


@dataclass(frozen=True)
class Reference:
    """The point about which the effects are centred: diameter and gouge [mm], moisture [%]."""

    diameter: float
    gouge: float
    moisture: float


@dataclass(frozen=True)
class EffectDraws:
    """Joint posterior draws; every array is (draws,).

    The opening of a coming reed in draw *k* is ::

        level + diameter (D - D0) + gouge (G - G0) + moisture (M - M0) + noise,

    noise normal with standard deviation ``spread`` (reed to reed and lot to lot together, for a
    lot not yet seen) and, *t* days after the last judged reed, the level wandering with variance
    ``wander``² t up to ``wander_limit``².

    Attributes
    ----------
    level : at the reference, of a soaked reed, as of the last judged reed. [mm]
    diameter, gouge : [mm per mm]
    moisture : [mm per % moisture content]
    spread : [mm]
    wander : [mm per √day]
    low, high : the wanted range; constant where the maker has set it, else learned. [mm]
    """

    reference: Reference
    level: Floats
    diameter: Floats
    gouge: Floats
    moisture: Floats
    spread: Floats
    wander: Floats
    wander_limit: float
    low: Floats
    high: Floats
    last_day: str | None = None  # ISO date of the last judged reed

    def __len__(self) -> int:
        return len(self.level)
