"""What is known of a room before its first reading, as a normal distribution of the parameters."""

from dataclasses import dataclass

import numpy as np

from planner.air.humidity import Floats
from planner.room.knowledge import RoomKnowledge
from planner.room.response import Parameters

NAMES = Parameters._fields

# Mean and standard deviation. The moisture excess of dwellings in cold weather: winter means of
# 2-3.5 g/m³ (Alev et al. 2015, 67 houses), 90th percentiles of 4-6 (Kalamees 2006) and 2.4-4.9
# (Vinha et al. 2018); in mild weather 90th percentiles of 1.5 and 0.3-2.6: near nought for most.
# In warm weather a house holds less vapour than the outdoors, by cooling and by what its walls take
# up: indoor on outdoor absolute humidity had a slope of 0.69 in Nguyen, Schwartz & Dockery (2014,
# Indoor Air 24, 16 homes of Boston), indoor on outdoor temperature one of 0.41 in warm and 0.04 in
# cold weather. Set-point and its spread: ISO 13788 and EN 15026 profiles. In frost the excess is
# level in the surveys and in ISO 13788, and grows from 3.3 g/m³ at 0 to 4.5 at -20 °C in EN 15026.
# A house aired by draughts alone adds two fifths less at -20 °C, draughts growing with the root of
# the difference in warmth (Sherman & Grimsrud 1980); one whose fan is turned down by a third then
# adds half as much again: hence the spread. Lag: Rode et al. (2006) and Padfield's buffer values.
# The rest are guesses, wide on purpose.
USUAL = {
    "set_point": (20.5, 1.2),
    "warming": (0.55, 0.2),
    "balance": (13.0, 3.0),
    "chill": (0.03, 0.05),
    "cap": (28.5, 2.5),
    "excess_cold": (2.0, 1.2),
    "excess_mild": (0.5, 0.5),
    "excess_hot": (-0.5, 1.0),
    "frost": (0.0, 0.4),
    "log_lag": (np.log(20.0 / 24.0), 0.6),
    "store_logit": (-2.0, 1.0),
    "floor": (35.0, 6.0),
    "floor_logit": (-2.2, 1.3),
    "ceiling": (58.0, 7.0),
    "ceiling_logit": (-1.0, 1.5),
}
COOLED = {
    "cap": (24.5, 1.2),
    "excess_hot": (-0.8, 1.5),
    "ceiling": (55.0, 6.0),
    "ceiling_logit": (1.0, 1.2),
}
# Without heating the room follows the outdoors at all seasons, some degrees warmer and smoother.
UNHEATED = {
    "set_point": (8.0, 2.0),
    "warming": (0.8, 0.1),
    "balance": (5.0, 1.0),
    "chill": (0.7, 0.15),
    "excess_cold": (1.0, 1.0),
}
# Ground and walls give water at all seasons, how much is anyone's guess.
DAMP = {
    "excess_cold": (3.0, 2.0),
    "excess_mild": (2.5, 1.5),
    "excess_hot": (0.0, 2.0),
    "store_logit": (0.0, 1.5),
}
KNOWN_SET_POINT = 0.7  # °C
KNOWN_LIMIT = 3.0  # %
KNOWN_LIMIT_LOGIT = (2.0, 1.0)  # a machine makes good about nine tenths of the lack

# A room with many sources in winter has more in summer too: from the means to the 90th percentiles
# of Kalamees (2006) the excess grows by 2 g/m³ in cold and by 1 g/m³ in mild weather.
MILD_PER_COLD = 0.4


@dataclass(frozen=True)
class Prior:
    """Normal distribution of the parameters: mean (k,) and covariance (k, k)."""

    mean: Floats
    covariance: Floats


def prior(knowledge: RoomKnowledge) -> Prior:
    """Return what is known of a room from the maker's answers alone."""
    table = {**USUAL, **_answers(knowledge)}
    mean = np.array([table[name][0] for name in NAMES])
    root = np.diag([table[name][1] for name in NAMES])
    cold, mild = NAMES.index("excess_cold"), NAMES.index("excess_mild")
    root[mild, cold] = MILD_PER_COLD * root[cold, cold]
    return Prior(mean, root @ root.T)


def _answers(knowledge: RoomKnowledge) -> dict[str, tuple[float, float]]:
    answers: dict[str, tuple[float, float]] = {}
    if not knowledge.heated:
        answers |= UNHEATED
    elif knowledge.winter_c is not None:
        answers["set_point"] = (knowledge.winter_c, KNOWN_SET_POINT)
    if knowledge.air_conditioned:
        answers |= COOLED
    if knowledge.damp:
        answers |= DAMP
    if knowledge.humidify_to_pct is not None:
        answers["floor"] = (knowledge.humidify_to_pct, KNOWN_LIMIT)
        answers["floor_logit"] = KNOWN_LIMIT_LOGIT
    if knowledge.dehumidify_to_pct is not None:
        answers["ceiling"] = (knowledge.dehumidify_to_pct, KNOWN_LIMIT)
        answers["ceiling_logit"] = KNOWN_LIMIT_LOGIT
    return answers
