"""The transportation problem with two objectives, one before the other.

Dantzig, *Linear Programming and Extensions*, 1963, ch. 14, solved as a linear programme by HiGHS.
Among the ways that reach the most of the first objective, the second chooses. Those ways are the
solutions that complementary slackness leaves open (the same, ch. 6): a route that the first
solution's prices charge for stays empty, a limit with a price stays full.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.opening.observations import Floats

PRICED = 1e-7  # gains of a route differ by hundredths, and so do prices


@dataclass(frozen=True)
class Routes:
    """What may go from where to where, and what a unit on each route gains.

    Attributes
    ----------
    source, sink : (r,) which of each a route joins; a source of -1 never runs out
    first, then : (r,) gains of a unit
    supply : (s,) units at each source
    demand : (d,) units that each sink takes at most
    """

    source: NDArray[np.int64]
    sink: NDArray[np.int64]
    first: Floats
    then: Floats
    supply: Floats
    demand: Floats


def carried(routes: Routes) -> Floats | None:
    """Return the units on each route (r,), None if the solver gives up."""
    from scipy.optimize import linprog  # slow to load, and many a plan has no cane to deal out

    count = len(routes.first)
    if not count:
        return np.zeros(0)
    limits, capacity = _limits(routes), np.concatenate([routes.supply, routes.demand])
    found = linprog(-routes.first, A_ub=limits, b_ub=capacity, method="highs-ds")
    if found.x is None:
        return None
    charged = found.lower.marginals > PRICED
    full = found.ineqlin.marginals < -PRICED
    again = linprog(
        -routes.then,
        A_ub=limits[~full] if not full.all() else None,
        b_ub=capacity[~full] if not full.all() else None,
        A_eq=limits[full] if full.any() else None,
        b_eq=capacity[full] if full.any() else None,
        bounds=np.column_stack([np.zeros(count), np.where(charged, 0.0, np.inf)]),
        method="highs-ds",
    )
    return np.asarray(found.x if again.x is None else again.x)


def _limits(routes: Routes) -> Any:
    """The rows of the sources, then of the sinks, a column a route; sparse."""
    from scipy.sparse import coo_array

    count, sources = len(routes.first), len(routes.supply)
    bound = np.flatnonzero(routes.source >= 0)
    row = np.concatenate([routes.source[bound], sources + routes.sink])
    column = np.concatenate([bound, np.arange(count)])
    shape = (sources + len(routes.demand), count)
    return coo_array((np.ones(len(row)), (row, column)), shape=shape).tocsr()
