"""The estimator keeps scikit-learn's promises, and says the same as the model it stands for."""

import pickle

import numpy as np
import pandas as pd
import pytest
from sklearn.base import clone
from sklearn.dummy import DummyRegressor
from sklearn.model_selection import TimeSeriesSplit, cross_validate
from sklearn.utils.estimator_checks import parametrize_with_checks

from planner.opening.draws import Reference
from planner.opening.estimator import OpeningRegressor
from planner.opening.model import fit_opening
from planner.opening.priors import PRIORS
from planner.opening.reed_table import named, observations_of
from planner.opening.shares import share_in_range

WANTED = (0.70, 0.95)


class OfAnyWidth(OpeningRegressor):
    """The estimator, but of wider arrays it takes the first three columns.

    The library's checks try tables of up to ten columns; a maker has three.
    """

    def _table(self, X, *, reset=False):
        try:
            return super()._table(X, reset=reset)
        except ValueError as error:
            if "at most diameter_mm" not in str(error):
                raise
            return named(np.asarray(X, dtype=float)[:, :3])


@parametrize_with_checks([OfAnyWidth(draws=50)])
def test_the_estimator_passes_the_librarys_own_checks(estimator, check):
    """scikit-learn's check_estimator: parameters, cloning, pickles, shapes, wrong input."""
    check(estimator)


@pytest.fixture(scope="module")
def season(workshops):
    """Eighty reeds of an invented workshop, half of them measured: table and openings."""
    chance = np.random.default_rng(7)
    truth = workshops.draw_truth(chance)
    return workshops.as_table(workshops.make_history(truth, 80, workshops.Habit(), chance))


@pytest.fixture(scope="module")
def fitted(season):
    """The estimator, fitted to all of them."""
    return OpeningRegressor(*WANTED).fit(*season)


def test_it_is_the_model_of_the_planner(season, fitted):
    """The same effects, notes and draws as the planner's own call gives."""
    table, opening = season
    middle = table[["diameter_mm", "gouge_mm"]].median()
    reference = Reference(*middle.tolist(), 8.5)
    own = fit_opening(observations_of(table, opening), reference=reference, wanted=WANTED)
    assert fitted.fit_.effects == own.effects
    assert fitted.fit_.notes == own.notes
    assert np.array_equal(fitted.fit_.draws().level, own.draws().level)


def test_a_table_is_split_by_time_scored_and_better_than_the_mean(season):
    """cross_validate with TimeSeriesSplit, verdicts alone among the rows."""
    table, opening = season
    splits = TimeSeriesSplit(4)
    own = cross_validate(OpeningRegressor(*WANTED), table, opening, cv=splits)["test_score"]
    assert own.shape == (4,)
    assert np.isfinite(own).all()
    read = np.isfinite(opening)
    plain = cross_validate(DummyRegressor(), table[read], opening[read], cv=splits)["test_score"]
    assert own.mean() > plain.mean()


def test_a_clone_knows_nothing_and_a_pickle_all(season, fitted):
    """A clone has the parameters alone; a pickle predicts as the original."""
    assert not hasattr(clone(fitted), "fit_")
    assert clone(fitted).get_params() == fitted.get_params()
    again = pickle.loads(pickle.dumps(fitted))
    assert np.array_equal(again.predict(season[0]), fitted.predict(season[0]))


def test_the_score_is_of_measured_openings_alone(season, fitted):
    """R² by its definition; verdicts alone are left out, and of one opening there is none."""
    table, opening = season
    read = np.isfinite(opening)
    off = opening[read] - fitted.predict(table[read])
    around = opening[read] - opening[read].mean()
    assert fitted.score(table, opening) == pytest.approx(1 - (off @ off) / (around @ around))
    assert np.isnan(fitted.score(table[:1], opening[:1] * np.nan))


def test_the_share_is_the_plans(fitted):
    """The chance of a good reed is that of the plan's own reckoning with the same draws."""
    table = pd.DataFrame({"diameter_mm": [10.0, 11.0], "gouge_mm": 0.60, "moisture_pct": 7.0})
    share = share_in_range(
        fitted.fit_.draws(400, 0),
        table["diameter_mm"].to_numpy(),
        np.array([0.60]),
        np.full((400, 1), 7.0),
        np.zeros(1),
    )
    assert fitted.predict_share(table) == pytest.approx(share[0, :, 0], abs=5e-5)


def test_quantiles_and_spread_belong_to_the_mean(fitted):
    """The middle is the mean of a near-normal prediction; 68 in 100 lie within one spread."""
    table = pd.DataFrame({"diameter_mm": [10.5], "gouge_mm": [0.59], "moisture_pct": [8.5]})
    mean, sd = fitted.predict(table, return_std=True)
    low, middle, high = fitted.predict_quantiles(table, [0.16, 0.5, 0.84])[:, 0]
    assert middle == pytest.approx(mean[0], abs=0.1 * sd[0])
    assert (high - low) / 2 == pytest.approx(sd[0], rel=0.1)


@pytest.mark.parametrize(
    "vague",
    [
        {"diameter_mm": None, "diameter_low_mm": 10.0, "diameter_high_mm": 11.0},
        {"gouge_mm": None},
        {"moisture_pct": None},
        {"date": "2031-01-01"},
    ],
)
def test_what_is_not_known_widens_the_prediction(fitted, vague):
    """A class for a diameter, no gouge, no moisture, a day long after the last judged reed."""
    sharp = {"diameter_mm": 10.5, "gouge_mm": 0.59, "moisture_pct": 8.5}
    known, unknown = (
        fitted.predict(pd.DataFrame([row]), return_std=True) for row in (sharp, sharp | vague)
    )
    assert unknown[1] > known[1] + 1e-4
    assert unknown[0] == pytest.approx(known[0], abs=0.02)


def test_a_dry_reed_is_predicted_dry(season, fitted):
    """Among soaked reeds a dry one opens less; in an all-dry history nothing is to be added."""
    cane = {"diameter_mm": 10.5, "gouge_mm": 0.59, "moisture_pct": 8.5}
    both = pd.DataFrame([cane | {"measured": state} for state in ("soaked", "dry")])
    soaked, dry = fitted.predict(both)
    assert dry - soaked == pytest.approx(PRIORS.dry.mean, abs=0.01)
    all_dry = OpeningRegressor(*WANTED).fit(season[0].assign(measured="dry"), season[1])
    assert np.ptp(all_dry.predict(both)) == 0.0


def test_without_reeds_the_prior_predicts():
    """An empty table: the middle of the range, and the prior's effect of the diameter."""
    nothing = pd.DataFrame({"diameter_mm": np.empty(0)})
    fitted = OpeningRegressor(*WANTED, draws=2000).fit(nothing, np.empty(0))
    usual, round_one = fitted.predict(pd.DataFrame({"diameter_mm": [10.5, 10.0]}))
    assert usual == pytest.approx(sum(WANTED) / 2, abs=0.005)
    assert round_one - usual == pytest.approx(-0.5 * PRIORS.diameter.mean, abs=0.005)


def test_the_order_of_the_table_does_not_matter(season, fitted):
    """Reeds are put in the order of their days."""
    table, opening = season
    order = np.random.default_rng(1).permutation(len(table))
    order = order[np.argsort(order % 2, kind="stable")]
    again = OpeningRegressor(*WANTED).fit(table.iloc[order], opening[order])
    assert again.predict(table) == pytest.approx(fitted.predict(table), abs=2e-3)


def test_the_humidity_of_the_room_stands_for_the_moisture(season):
    """A humidity noted beside a reed counts where no moisture is given."""
    cane = {"diameter_mm": [10.5, 10.5], "room_rh_pct": [45.0, 45.0], "moisture_pct": [None, 7.0]}
    reeds = observations_of(pd.DataFrame(cane))
    # USDA, *Wood Handbook* (2010), table 4-2: 8.5 % at 45 % and 70 °F (from memory).
    assert reeds.moisture == pytest.approx([8.5, 7.0], abs=0.1)
    assert reeds.moisture_sd == pytest.approx([0.6, 0.0])


def test_lots_are_told_apart_by_their_names():
    """Two named lots, and reeds of none."""
    cane = {"diameter_mm": [10.5] * 5, "lot": ["b", None, "a", "b", ""]}
    reeds = observations_of(pd.DataFrame(cane))
    of = [None if number < 0 else reeds.lots[number] for number in reeds.lot]
    assert of == ["b", None, "a", "b", None]
    assert reeds.lots == ("a", "b")


def test_the_usual_cane_is_what_is_given_or_the_middle_reed(season):
    """What the maker states counts; what isn't stated is the median of the reeds."""
    table, opening = season
    given = OpeningRegressor(*WANTED, usual_diameter_mm=10.1, usual_gouge_mm=0.6).fit(
        table, opening
    )
    assert (given.fit_.posterior.reference.diameter, given.fit_.posterior.reference.gouge) == (
        10.1,
        0.6,
    )
    known = pd.DataFrame({"diameter_mm": [10.0, 10.2, 11.0], "gouge_mm": [0.58, 0.59, 0.61]})
    left_out = OpeningRegressor(*WANTED).fit(known, [0.8, 0.8, 0.8]).fit_.posterior.reference
    assert (left_out.diameter, left_out.gouge) == (10.2, 0.59)


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ({"gouge_mm": [0.6, 0.6]}, "neither diameter_mm nor"),
        ({"diameter_mm": [10.0, 10.5], "verdict": ["good", "fine"]}, "a verdict is one of"),
        ({"diameter_mm": [10.0, 10.5], "measured": ["dry", "wet"]}, "measured is one of"),
        ({"diameter_mm": [10.0, 10.5], "date": ["2026-01-01", None]}, "others none"),
        ({"diameter_mm": [10.0, 10.5], "gouge_mm": [0.6, np.inf]}, "gouge_mm holds an infinite"),
    ],
)
def test_a_table_that_cannot_be_meant_is_refused(table, said):
    """Missing columns, unknown words, dates for some: said by the column's name."""
    with pytest.raises(ValueError, match=said):
        OpeningRegressor(*WANTED).fit(pd.DataFrame(table), [0.8, 0.8])


def test_openings_that_cannot_be_meant_are_refused(season):
    """None at all, too few, or infinite ones; and arrays with more columns than are known."""
    table, opening = season
    for wrong, said in ((None, "requires y"), (opening[1:], "inconsistent")):
        with pytest.raises(ValueError, match=said):
            OpeningRegressor().fit(table, wrong)
    with pytest.raises(ValueError, match="infinite opening"):
        OpeningRegressor().fit(table, np.where(opening > 0, np.inf, opening))
    with pytest.raises(ValueError, match="no reed has"):
        OpeningRegressor().fit(table.drop(columns="verdict"), opening * np.nan)
    with pytest.raises(ValueError, match="4 columns: at most diameter_mm"):
        OpeningRegressor().fit(np.ones((5, 4)), np.ones(5))
