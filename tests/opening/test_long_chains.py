"""The posterior beside a long run of a general-purpose sampler over the same model.

The model is written down here a second time, as a plain joint density with every unknown in it,
and sampled by emcee (D. Foreman-Mackey, D. W. Hogg, D. Lang and J. Goodman, "emcee: the MCMC
hammer", *Publ. Astron. Soc. Pac.* 125 (2013) 306). What is compared is what the plan is made of.
"""

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.special import ndtr

from planner.opening.draws import Reference
from planner.opening.model import fit_opening
from planner.opening.observations import CLOSED, GOOD, OPEN, UNJUDGED, Observations
from planner.opening.priors import PRIORS
from planner.opening.rows import reading_step
from planner.opening.shares import share_in_range

REFERENCE = Reference(10.5, 0.59, 8.5)
WANTED = (0.70, 0.95)
WALKERS, STEPS, LEFT_OUT, EVERY = 80, 44_000, 8_000, 20
CANE = np.array([[10.0, 7.0], [10.5, 8.5], [11.0, 10.0], [10.25, 10.0]])  # diameter, moisture


def history(reeds, kind):
    """Reeds of four days and two lots, made from effects near the prior's."""
    chance = np.random.default_rng(reeds)
    number = np.arange(reeds)
    day = np.array([0, 25, 60, 90])[number * 4 // reeds]
    diameter = 10.5 + 0.25 * chance.integers(-2, 3, reeds)
    gouge, moisture = 0.59 + 0.01 * chance.integers(-2, 3, reeds), 8.5 + 1.5 * np.cos(day / 30.0)
    lot = number * 2 // reeds
    opening = 0.85 - 0.25 * (diameter - 10.5) + 3.0 * (gouge - 0.59) + 0.02 * (moisture - 8.5)
    opening = np.round(opening + np.array([0.02, -0.03])[lot] + chance.normal(0, 0.07, reeds), 2)
    verdict = np.select([opening < WANTED[0] + 0.02, opening > WANTED[1]], [CLOSED, OPEN], GOOD)
    return Observations(
        np.datetime64("2025-01-01") + day, diameter, diameter, gouge, moisture, np.zeros(reeds),
        np.full(reeds, np.nan) if kind == "verdict" else opening,
        np.full(reeds, UNJUDGED, np.int8) if kind == "mm" else verdict.astype(np.int8),
        lot, np.zeros(reeds, np.bool_), ("first", "second"),
    )  # fmt: skip


@dataclass(frozen=True)
class Joint:
    """The joint log density of a history and of all unknowns, a walker a row.

    Unknowns: three effects, the first level, its steps (in spreads of the wandering), the lots (in
    spreads of lots); the logs of noise, lot spread and wandering; and where verdicts count the
    middle, the log width and the log unsharpness of the maker's verdict limits. Steps in mm would
    hold the wandering to what they are: chains then see too little of the wider ones.
    """

    seen: Observations

    @property
    def days(self):
        """The days of judging, from the first."""
        return np.unique((self.seen.day - self.seen.day[0]).astype(float))

    def drawn(self, count, chance):
        """Draws (count, unknowns) from the prior itself."""
        p, blocks, gap = PRIORS, len(self.days), WANTED[1] - WANTED[0]
        z = chance.normal(size=(count, blocks + 10))
        effects = [e.mean + e.sd * z[:, i] for i, e in enumerate((p.diameter, p.gouge, p.moisture))]
        level = sum(WANTED) / 2 + p.level_about_range * z[:, 3]
        noise = -0.5 * np.log(chance.gamma(p.noise.shape, 1 / p.noise.scale, count))
        lot, wander, judgement = (
            n.mean + n.sd * z[:, i] for i, n in enumerate((p.lot, p.wander, p.judgement), start=4)
        )
        middle = sum(WANTED) / 2 + p.verdict_limit_sd / 2**0.5 * z[:, 7]
        width = np.log(gap) + p.verdict_limit_sd * 2**0.5 / gap * z[:, 8]
        plain, odds = self._wandering(wander), self._odds()
        sudden = chance.random((count, blocks - 1)) < odds / (1 + odds)
        steps = z[:, 9 : 8 + blocks] * np.where(sudden, np.hypot(1.0, p.jump_sd / plain), 1.0)
        lots = z[:, 8 + blocks : 10 + blocks]
        return np.column_stack(
            [*effects, level, steps, lots, noise, lot, wander, middle, width, judgement]
        )

    def start(self, chance):
        """Walkers drawn from the prior, the wandering and the steps near nothing."""
        p, blocks = PRIORS, len(self.days)
        middle = sum(WANTED) / 2
        z = chance.normal(size=(WALKERS, 3 + blocks + 2 + 6))
        effects = [e.mean + e.sd * z[:, i] for i, e in enumerate((p.diameter, p.gouge, p.moisture))]
        level = middle + p.level_about_range * z[:, 3]
        steps, lots = z[:, 4 : 3 + blocks], z[:, 3 + blocks : 5 + blocks]
        rest = z[:, 5 + blocks :]
        logs = [-2.5 + 0.2 * rest[:, 0]]
        logs += [n.mean + n.sd * rest[:, i + 1] for i, n in enumerate((p.lot, p.wander))]
        logs += [middle + 0.03 * rest[:, 3], np.log(WANTED[1] - WANTED[0]) + 0.2 * rest[:, 4]]
        logs += [p.judgement.mean + p.judgement.sd * rest[:, 5]]
        return np.column_stack([*effects, level, steps, lots, *logs])

    def parts(self, theta):
        """Return effects, levels by day, lots, and the last six by name."""
        blocks = len(self.days)
        names = ("noise", "lot", "wander", "middle", "width", "judgement")
        rest = dict(zip(names, theta[:, 5 + blocks :].T, strict=True))
        steps = theta[:, 4 : 3 + blocks] * self._wandering(rest["wander"])
        levels = np.cumsum(np.column_stack([theta[:, 3], steps]), axis=1)
        return theta[:, :3], levels, theta[:, 3 + blocks : 5 + blocks], rest

    def __call__(self, theta):
        """Return the log density up to a constant, (walkers,)."""
        with np.errstate(over="ignore", invalid="ignore", divide="ignore", under="ignore"):
            total = self._prior(theta) + self.likelihood(theta)
        return np.where(np.isfinite(total), total, -np.inf)

    def _prior(self, theta):
        p = PRIORS
        effects, levels, lots, rest = self.parts(theta)
        total = -0.5 * (lots**2).sum(axis=1)
        for i, effect in enumerate((p.diameter, p.gouge, p.moisture)):
            total += log_normal(effects[:, i], effect.mean, effect.sd)
        low, high = WANTED
        width = high - low
        total += log_normal(levels[:, 0], (low + high) / 2, p.level_about_range)
        # The log of a variance with an inverse gamma distribution, by half.
        total += -2 * p.noise.shape * rest["noise"] - p.noise.scale * np.exp(-2 * rest["noise"])
        for name in ("lot", "wander", "judgement"):
            normal = getattr(p, name)
            total += log_normal(rest[name], normal.mean, normal.sd)
        total += log_normal(rest["middle"], (low + high) / 2, p.verdict_limit_sd / 2**0.5)
        total += log_normal(rest["width"], np.log(width), p.verdict_limit_sd * 2**0.5 / width)
        return total + self._steps(np.diff(levels, axis=1), self._wandering(rest["wander"]))

    def _wandering(self, log_wander):
        """The spread of the level's wandering from one day of judging to the next."""
        plain = np.exp(log_wander)[:, None] * np.sqrt(np.diff(self.days))
        return np.minimum(plain, PRIORS.wander_limit)

    def _steps(self, steps, plain):
        """A step is of the wandering, or once in a long while of a sudden change as well.

        The density of a step in units of the wandering's spread, hence times that spread.
        """
        odds, wide = self._odds(), np.hypot(plain, PRIORS.jump_sd)
        both = np.logaddexp(
            log_normal(steps, 0.0, plain), np.log(odds) + log_normal(steps, 0.0, wide)
        )
        return (both - np.log1p(odds) + np.log(plain)).sum(axis=1)

    def _odds(self):
        """Of a sudden change to none before each day of judging but the first."""
        p, reeds = PRIORS, np.unique(self.seen.day, return_counts=True)[1]
        by_reeds = (reeds[1:] + reeds[:-1]) / 2 / p.reeds_per_jump
        return np.minimum(by_reeds, np.diff(self.days) / p.days_per_jump)

    def likelihood(self, theta):
        """Return the log probability of the history, (walkers,)."""
        seen, slip = self.seen, PRIORS.mistake
        effects, levels, lots, rest = self.parts(theta)
        block = np.searchsorted(self.days, (seen.day - seen.day[0]).astype(float))
        x = np.column_stack([seen.diameter_low - 10.5, seen.gouge - 0.59, seen.moisture - 8.5])
        mean = effects @ x.T + levels[:, block] + np.exp(rest["lot"])[:, None] * lots[:, seen.lot]
        noise, blur = np.exp(2 * rest["noise"])[:, None], np.exp(2 * rest["judgement"])[:, None]
        limits = np.stack([rest["middle"] - np.exp(rest["width"]) / 2,
                           rest["middle"] + np.exp(rest["width"]) / 2], axis=1)  # fmt: skip
        if not (np.isfinite(seen.opening) & (seen.verdict != UNJUDGED)).any():
            limits = np.broadcast_to(WANTED, limits.shape)  # nothing but the settings says them
        ends = np.column_stack([np.full(len(theta), -np.inf), limits, np.full(len(theta), np.inf)])
        total = np.zeros(len(theta))
        rounding = reading_step(seen.opening) ** 2 / 12
        read = np.isfinite(seen.opening)
        if read.any():
            sd = np.sqrt(noise + rounding)
            sound = np.exp(log_normal(seen.opening[read], mean[:, read], sd)) * (1 - slip)
            total += np.log(sound + slip / PRIORS.mistake_span).sum(axis=1)
        told = seen.verdict != UNJUDGED
        if told.any():
            place = seen.verdict[told].astype(int) + 1
            at = np.where(read, np.nan_to_num(seen.opening), mean)[:, told]
            sd = np.sqrt(blur + np.where(read, rounding, noise))[:, told]
            inside = ndtr((ends[:, place + 1] - at) / sd) - ndtr((ends[:, place] - at) / sd)
            total += np.log((1 - slip) * inside + slip / 3).sum(axis=1)
        return total


def log_normal(x, mean, sd):
    """Log density of a normal distribution up to the constant that all share."""
    return -0.5 * ((x - mean) / sd) ** 2 - np.log(sd)


def chains(seen):
    """Return what the plan is made of by a long run, and how many independent draws it is worth."""
    emcee = pytest.importorskip("emcee")
    joint, chance = Joint(seen), np.random.default_rng(1)
    start = joint.start(chance)
    # Stretches alone: with moves along differences the chains came back too seldom from where the
    # lots differ much, as sums over a grid of the spreads showed (level's spread 3 % too small).
    sampler = emcee.EnsembleSampler(
        WALKERS, start.shape[1], joint, vectorize=True, moves=emcee.moves.StretchMove()
    )
    sampler.random_state = np.random.RandomState(1).get_state()
    sampler.run_mcmc(start, STEPS)
    time = float(np.max(sampler.get_autocorr_time(discard=LEFT_OUT, quiet=True)))
    kept = sampler.get_chain(discard=LEFT_OUT, thin=EVERY, flat=True)
    independent = WALKERS * (STEPS - LEFT_OUT) / time
    return *moments(joint, kept, np.ones(len(kept))), independent


def weighted(seen):
    """Return the same as :func:`chains` from draws of the prior, each weighed by its likelihood.

    Nothing can be overlooked so, but a longer history leaves too few draws any weight.
    """
    joint, chance = Joint(seen), np.random.default_rng(2)
    theta = np.concatenate([joint.drawn(200_000, chance) for _ in range(4)])
    weight = np.exp(np.concatenate([joint.likelihood(part) for part in np.split(theta, 8)]))
    return *moments(joint, theta, weight), weight.sum() ** 2 / (weight**2).sum()


def moments(joint, theta, weight):
    """Return mean and spread (4,) of level and effects, and the shares of the cane (c,)."""
    weight = weight / weight.sum()
    effects, levels, _, rest = joint.parts(theta)
    values = np.column_stack([levels[:, -1], effects])
    spread = np.sqrt(np.exp(2 * rest["noise"]) + np.exp(2 * rest["lot"]))[:, None]
    low, high = WANTED
    at = values[:, [0]] + values[:, [1]] * (CANE[:, 0] - 10.5)
    at = at + values[:, [3]] * (CANE[:, 1] - 8.5)
    share = weight @ (ndtr((high - at) / spread) - ndtr((low - at) / spread))
    mean = weight @ values
    return mean, np.sqrt(weight @ (values - mean) ** 2), share


@pytest.mark.parametrize("kind", ["mm", "verdict", "both"])
@pytest.mark.parametrize("reeds", [5, pytest.param(20, marks=pytest.mark.slow)])
def test_the_posterior_agrees_with_long_runs(reeds, kind):
    """Means within 0.1 of a spread, spreads within 7 %, shares within 1 point of a hundred.

    At least 4000 independent draws hold the reference's own error of a mean to 0.016 of a spread
    and that of a spread to 1.1 %.
    """
    seen = history(reeds, kind)
    mean, sd, share, independent = weighted(seen) if reeds == 5 else chains(seen)
    fit = fit_opening(seen, reference=REFERENCE, wanted=WANTED)
    own_mean, own_sd = (moment[:4] for moment in fit.posterior.moments())
    draws = fit.draws(4000, 1)
    own_share = np.array(
        [
            share_in_range(draws, np.array([d]), np.array([0.59]), np.full((4000, 1), m),
                           np.zeros(1))[0, 0, 0]
            for d, m in CANE
        ]
    )  # fmt: skip
    print(
        f"\n{reeds} reeds, {kind}: {independent:.0f} independent draws; means off by "
        f"{np.round((own_mean - mean) / sd, 3)} spreads, "
        f"spreads by {np.round(own_sd / sd - 1, 3)}, "
        f"shares by {np.round(own_share - share, 4)} of {np.round(share, 3)}"
    )
    assert independent > 4000
    assert np.abs((own_mean - mean) / sd).max() < 0.1
    assert np.abs(own_sd / sd - 1).max() < 0.07
    assert np.abs(own_share - share).max() < 0.01
