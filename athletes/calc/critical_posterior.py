"""Posterior of critical power and its reserve given time trials: its density, its highest point, a grid over it.

The grid has 41 x 41 nodes, laid along the axes of the normal approximation at the highest point and moved until it
shows the posterior; kept is, for each W', the mean and variance of ln CP.
"""

import math
from typing import Final

import numpy as np
from scipy.linalg import cholesky, solve_triangular
from scipy.special import log_ndtr

from athletes.calc.trials import Trials
from programming.calc.arrays import FloatArray
from programming.calc.movement_prior import CyclicalStart

NODES: Final = 41
SPAN: Final = 4.5
RESOLVED: Final = 0.65
EDGE_WEIGHT: Final = 1e-3
MOST_GRIDS: Final = 6
MOST_STEPS: Final = 60


class TrialPosterior:
    """Density of theta = (ln W', ln CP) given the trials, as it is on the day of the last one.

    since, bounds_since (M,): variance of the walk between each trial and the last one.
    """

    def __init__(
        self,
        start: CyclicalStart,
        maximal: Trials,
        bounds: Trials,
        since: FloatArray,
        bounds_since: FloatArray,
    ) -> None:
        self.centre = np.array([start.log_reserve, start.log_critical])
        self.sd = np.array([start.log_reserve_sd, start.log_critical_sd])
        self.maximal, self.bounds = maximal, bounds
        covariance = np.diag(maximal.sd**2) + np.minimum.outer(since, since)
        size = maximal.day.size
        root = cholesky(covariance, lower=True) if size else np.zeros((0, 0))
        # Applied without BLAS, whose threads cost more than products of this size.
        self.whiten = solve_triangular(root, np.eye(size), lower=True) if size else root
        self.bound_sd = np.sqrt(bounds.sd**2 + bounds_since)

    def log_density(self, theta: FloatArray) -> FloatArray:
        """(G,) at theta (G, 2), up to a constant."""
        total: FloatArray = -0.5 * (((theta - self.centre) / self.sd) ** 2).sum(axis=1)
        if self.maximal.day.size:
            rest = np.einsum("ij,jg->ig", self.whiten, self.ahead(theta, self.maximal))
            total -= 0.5 * (rest * rest).sum(axis=0)
        if self.bounds.day.size:
            total += log_ndtr(self.ahead(theta, self.bounds) / self.bound_sd[:, None]).sum(axis=0)
        return total

    def curvature(self, theta: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(gradient (2,), negative curvature (2, 2), never indefinite) of the log density at theta (2,)."""
        gradient = -(theta - self.centre) / self.sd**2
        bend = np.diag(1.0 / self.sd**2)
        if self.maximal.day.size:
            slope = self.whiten @ self._slope(theta, self.maximal)
            gradient = gradient - slope.T @ (self.whiten @ self.ahead(theta[None, :], self.maximal)[:, 0])
            bend = bend + slope.T @ slope
        if self.bounds.day.size:
            slope = self._slope(theta, self.bounds) / self.bound_sd[:, None]
            z = self.ahead(theta[None, :], self.bounds)[:, 0] / self.bound_sd
            hazard = np.exp(-0.5 * z**2 - 0.5 * math.log(2.0 * math.pi) - log_ndtr(z))
            gradient = gradient + slope.T @ hazard
            bend = bend + slope.T @ (np.maximum(hazard * (hazard + z), 0.0)[:, None] * slope)
        return gradient, bend

    def ahead(self, theta: FloatArray, trials: Trials) -> FloatArray:
        """ln of what the parameters (G, 2) can do in the time above what was done, (M, G)."""
        slow = theta[None, :, 1] + np.log(trials.seconds)[:, None]
        ahead: FloatArray = np.logaddexp(theta[None, :, 0], slow) - trials.log_amount[:, None]
        return ahead

    def _slope(self, theta: FloatArray, trials: Trials) -> FloatArray:
        """Derivatives (M, 2): the shares of the reserve and of the critical power in the amount."""
        steady = 1.0 / (1.0 + np.exp(np.clip(theta[0] - theta[1] - np.log(trials.seconds), -500.0, 500.0)))
        shares: FloatArray = np.stack([1.0 - steady, steady], axis=1)
        return shares


def _peak(posterior: TrialPosterior) -> tuple[FloatArray, FloatArray]:
    """(theta, covariance) of the normal approximation at the highest point: damped Newton steps."""
    theta: FloatArray = posterior.centre.copy()
    damping = 1e-3
    height = float(posterior.log_density(theta[None, :])[0])
    gradient, bend = posterior.curvature(theta)
    for _ in range(MOST_STEPS):
        step = np.linalg.solve(bend + damping * np.diag(np.diag(bend)), gradient).astype(np.float64)
        reached = float(posterior.log_density((theta + step)[None, :])[0])
        if reached >= height:
            theta, height, damping = theta + step, reached, max(damping / 10.0, 1e-12)
            gradient, bend = posterior.curvature(theta)
            if float(np.abs(step).max()) < 1e-10:
                break
        else:
            damping *= 10.0
            if damping > 1e12:
                break
    return theta, np.linalg.inv(bend).astype(np.float64)


def on_grid(posterior: TrialPosterior) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, bool]:
    """(ln W', weight, mean and variance of ln CP), each (NODES,), and whether the grid shows the posterior."""
    theta, weight, resolved = grid_of(posterior)
    return *_by_reserve(theta, weight), resolved


def grid_of(posterior: TrialPosterior) -> tuple[FloatArray, FloatArray, bool]:
    """theta (NODES, NODES, 2), each row of one W', weights (NODES, NODES), and whether they show the posterior."""
    centre, covariance = _peak(posterior)
    side = np.linspace(-SPAN, SPAN, NODES)
    z = np.stack(np.meshgrid(side, side, indexing="ij"), axis=-1)
    for attempt in range(MOST_GRIDS):
        root = np.linalg.cholesky(covariance)
        # The first axis is ln W' alone: each row of the grid has one W'.
        theta = centre + z[..., :1] * root[:, 0] + z[..., 1:] * root[:, 1]
        log_weight = posterior.log_density(theta.reshape(-1, 2)).reshape(NODES, NODES)
        weight = np.exp(log_weight - log_weight.max())
        weight /= weight.sum()
        centre_z = np.einsum("ij,ijk->k", weight, z)
        away = z - centre_z
        spread = np.einsum("ijk,ijl->kl", weight[..., None] * away, away)
        shares = (weight.sum(axis=1), weight.sum(axis=0))
        cut_off = any(max(s[0], s[-1]) > EDGE_WEIGHT * s.max() for s in shares)
        spacing = side[1] - side[0]
        resolved = not cut_off and math.sqrt(float(np.linalg.eigvalsh(spread)[0])) >= RESOLVED * spacing
        if resolved:
            break
        centre = centre + root @ centre_z
        # A bent ridge, as of one trial, leaves at a corner of each grid of the same span: wider every time.
        widened = spread * (2.0 ** (attempt + 1) if cut_off else 1.0) + (0.5 * spacing) ** 2 * np.eye(2)
        covariance = root @ widened @ root.T
    return theta, weight, resolved


def _by_reserve(
    theta: FloatArray, weight: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """(ln W', weight, mean and variance of ln CP), each (NODES,), of weights (NODES, NODES) at theta (..., 2)."""
    rows = weight.sum(axis=1)
    given = weight / np.maximum(rows, 1e-300)[:, None]
    mean = (given * theta[..., 1]).sum(axis=1)
    var = (given * (theta[..., 1] - mean[:, None]) ** 2).sum(axis=1)
    return theta[:, 0, 0], rows, mean, np.maximum(var, 1e-14)
