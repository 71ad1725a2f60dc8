"""What is believed before the first reed: every figure with its source, or marked as a guess.

"Derived" figures follow from the geometry and the stiffness of a blade and from the orders of
magnitude of the swelling of wood and bamboo; no measured tip opening of oboe reeds was found in
print. "Guess" means judgement without any derivation. The effects are as derived. The guesses of
the second order (noise, lots, level, wandering, sudden changes) were held against invented
workshops of two kinds, whose reeds spread by 0.06-0.10 mm about a level within 0.08 mm of what is
wanted, or by anything from 0.05 to 0.13 about a level within 0.15: they lie between the two, so
that with 20 reeds the shares promised are 2 to 4 in 100 too low for the first kind and too high for
the second, without a reed about 15 too low or right. A maker who strays farther is learned all the
same, only later.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Normal:
    """A normal distribution."""

    mean: float
    sd: float


@dataclass(frozen=True)
class InverseGamma:
    """An inverse gamma distribution of a variance."""

    shape: float
    scale: float


@dataclass(frozen=True)
class Priors:
    """The prior of every unknown of the opening model; openings in mm.

    Attributes
    ----------
    level : opening at the reference, where no wanted range is set. Derived from tip openings of
        0.5-1.0 mm (common practice, no source).
    level_about_range : spread of the level about the middle of a wanted range. Guess: a maker's
        usual cane gives about what the maker wants; tighter than the level without a range, wide
        enough that a maker whose reeds lie 0.3 mm off isn't taken for an uneven one.
    diameter : [mm per mm]. Derived: the arc opens by 0.34 mm per mm less diameter if the closing
        is additive, by 0.08-0.13 if it is proportional.
    gouge : [mm per mm]. Derived: between nothing (geometry alone) and 9 (stiffness as the cube of
        the thickness under a fixed closing load).
    moisture : [mm per %]. Derived: two-layer bending (Timoshenko 1925, *J. Opt. Soc. Am.* 11:233)
        with 0.05-0.15 % per % more swelling on the bark side, a third of it left in the tied reed.
    dry : a dry reed's opening less a soaked one's. Common practice, no source: soaking opens a
        reed by 0.1-0.3 mm.
    noise : variance from reed to reed. Guess, about 0.08 mm, from 0.055 to 0.11.
    lot : log of the standard deviation from lot to lot. Guess, about 0.03 mm, seldom over 0.065.
    wander : log of the wandering of the level. [mm per √day] Guess, 0.02 mm in a year,
        seldom over 0.04: a looser one explains sudden changes away.
    wander_limit : the level wanders no farther from one judged reed to the next. Guess.
    jump_sd : size of a sudden change of the level (a new knife, another scrape). Guess.
    reeds_per_jump, days_per_jump : a sudden change is expected once in so many days, and no more
        often than in so many reeds. Guess: a new knife or habit once a year. On invented workshops
        of 60 reeds, a third as often loses 2 reeds in 100 more where the level changed by 0.12 mm
        20 reeds ago, and 0.1 less where nothing changed.
    mistake : share of rows with a slip of the pen. Guess.
    mistake_span : width over which a slip may put an opening. Guess: from 0.4 to 1.2 mm.
    range_middle, range_width : wanted range where none is set; the width as a log. Common
        practice, no source.
    verdict_limit_sd : spread of the maker's own verdict limits about the range that is set. Guess.
    judgement : log of how unsharp a verdict is. Guess, about 0.02 mm.
    gouge_sd : spread of the gouge about the usual where it wasn't noted. Guess: a set gouger
        holds 0.01 mm, and drifts as much again.
    """

    level: Normal = Normal(0.80, 0.25)
    level_about_range: float = 0.15
    diameter: Normal = Normal(-0.20, 0.15)
    gouge: Normal = Normal(2.0, 3.0)
    moisture: Normal = Normal(0.019, 0.025)
    dry: Normal = Normal(-0.20, 0.15)
    noise: InverseGamma = InverseGamma(6.0, 5 * 0.082**2)
    lot: Normal = Normal(-3.5, 0.6)
    wander: Normal = Normal(-6.9, 0.6)
    wander_limit: float = 0.10
    jump_sd: float = 0.10
    reeds_per_jump: float = 70.0
    days_per_jump: float = 365.0
    mistake: float = 0.03
    mistake_span: float = 0.8
    range_middle: float = 0.80
    range_width: Normal = Normal(-1.386, 0.2)
    verdict_limit_sd: float = 0.05
    judgement: Normal = Normal(-3.9, 0.5)
    gouge_sd: float = 0.012


PRIORS = Priors()
