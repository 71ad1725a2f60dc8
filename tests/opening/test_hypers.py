"""The hyper-parameters' prior: its density against scipy's, and which unknowns a history wakes."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import invgamma, norm

from planner.opening.draws import Reference
from planner.opening.hypers import NAMES, Hypers, hyper_prior
from planner.opening.observations import GOOD, OPEN, UNJUDGED
from planner.opening.priors import PRIORS
from planner.opening.rows import make_rows

REFERENCE = Reference(10.5, 0.59, 8.5)
WANTED = (0.70, 0.95)
HYPERS = Hypers(noise=0.07, lot=0.03, wander=0.002, middle=0.81, width=0.22, judgement=0.03)


@pytest.fixture(scope="module")
def prior_of(reeds):
    """Return the prior for four reeds with the columns given."""

    def made(wanted=WANTED, count=4, **columns):
        return hyper_prior(make_rows(reeds(count, **columns), REFERENCE, PRIORS), wanted, PRIORS)

    return made


READ = {"opening": np.array([0.8, 0.9, 0.85, 0.83])}
TOLD = {"verdict": np.array([GOOD, OPEN, GOOD, OPEN], np.int8)}
SOME = {"opening": np.array([0.8, 0.9, np.nan, np.nan]), **TOLD}
IN_LOTS = {"lot": np.array([0, 0, 1, 1]), "lots": ("a", "b")}


@pytest.mark.parametrize(
    ("wanted", "columns", "active"),
    [
        (WANTED, READ, {"noise", "wander"}),
        (WANTED, READ | IN_LOTS, {"noise", "lot", "wander"}),
        (WANTED, TOLD, {"noise", "wander", "judgement"}),
        (WANTED, SOME, {"noise", "wander", "middle", "width", "judgement"}),
        ((None, None), SOME, {"noise", "wander", "middle", "width", "judgement"}),
        ((None, None), TOLD, {"noise", "wander", "width", "judgement"}),
        ((None, None), READ, {"noise", "wander"}),
    ],
)
def test_only_what_the_history_speaks_of_is_asked(prior_of, wanted, columns, active):
    """Lots where some are noted, verdict limits where verdicts meet openings."""
    assert set(prior_of(wanted, **columns).active) == active


def test_packing_is_undone(prior_of):
    """Logarithms and back, everything else as at the start."""
    prior = prior_of(**SOME, **IN_LOTS)
    assert prior.active == NAMES
    assert vars(prior.unpack(prior.pack(HYPERS))) == pytest.approx(vars(HYPERS))
    read = prior_of(**READ)
    back = read.unpack(read.pack(HYPERS))
    assert (back.noise, back.middle) == pytest.approx((0.07, read.start.middle))


def test_the_density_is_that_of_scipy(prior_of):
    """Inverse gamma of the noise's variance, normal the others, up to one constant.

    The density of the logarithm of a spread is that of the variance times twice the variance.
    """
    prior = prior_of(**SOME, **IN_LOTS)

    def by_scipy(hypers):
        gamma, variance = PRIORS.noise, hypers.noise**2
        total = invgamma.logpdf(variance, gamma.shape, scale=gamma.scale) + np.log(2 * variance)
        for name in ("lot", "wander", "judgement"):
            normal = getattr(PRIORS, name)
            total += norm.logpdf(np.log(getattr(hypers, name)), normal.mean, normal.sd)
        # The limits' spread of 0.05 mm each: of their middle by the root of two less, of their
        # distance by as much more.
        sd = PRIORS.verdict_limit_sd
        total += norm.logpdf(hypers.middle, 0.825, sd / np.sqrt(2))
        return total + norm.logpdf(np.log(hypers.width / 0.25), 0.0, sd * np.sqrt(2) / 0.25)

    other = replace(HYPERS, noise=0.11, lot=0.06, wander=0.0005, middle=0.84, width=0.3)
    difference = prior.log_density(prior.pack(HYPERS))[0] - prior.log_density(prior.pack(other))[0]
    assert difference == pytest.approx(by_scipy(HYPERS) - by_scipy(other))


def test_its_gradient_is_that_of_the_density(prior_of):
    """Central differences by every unknown."""
    prior = prior_of(**SOME, **IN_LOTS)
    vector = prior.pack(HYPERS)
    _, gradient = prior.log_density(vector)
    for i in range(len(vector)):
        nudge = np.zeros(len(vector))
        nudge[i] = 1e-5
        rise = prior.log_density(vector + nudge)[0] - prior.log_density(vector - nudge)[0]
        assert gradient[i] == pytest.approx(rise / 2e-5, abs=1e-5)


def test_limits_are_those_of_middle_and_width():
    """0.81 less and plus half of 0.22 mm."""
    assert (HYPERS.low, HYPERS.high) == pytest.approx((0.70, 0.92))


@pytest.mark.parametrize(
    ("wanted", "middle"), [((0.7, None), 0.7 + 0.125), ((None, 0.95), 0.95 - 0.125)]
)
def test_one_limit_alone_places_the_range(prior_of, wanted, middle):
    """The other lies a usual width away."""
    prior = prior_of(wanted, **TOLD)
    assert prior.start.middle == pytest.approx(middle, abs=1e-3)


def test_without_a_range_it_lies_about_what_the_maker_calls_good(prior_of):
    """The median of good openings; of all where none is called good; of general use without."""
    good = prior_of((None, None), opening=np.array([0.6, 0.9, 0.62, 0.95]), **TOLD)
    assert good.start.middle == pytest.approx(0.61)
    unjudged = np.full(4, UNJUDGED, np.int8)
    every = prior_of((None, None), opening=np.array([0.6, 0.9, 0.62, 0.94]), verdict=unjudged)
    assert every.start.middle == pytest.approx(0.76)
    assert prior_of((None, None), **TOLD).start.middle == PRIORS.range_middle
