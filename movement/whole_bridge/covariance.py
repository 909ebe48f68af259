"""Residuals of a unit with what ties them: settings and the temperature of a visit.

    r = setting error (one per element) + per_k * temperature error (one per visit)
        + reading error + errors of the register that all elements share

so V = D + settings + one column per visit + one per shared error.  Its inverse is never
formed: the settings go out element by element, the visits through one small matrix
(Woodbury's identity), shared errors one by one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from movement.checks import Floats

TINY = 1e-12


@dataclass(frozen=True, slots=True, eq=False)
class Whitened:
    """V^-1 in the pieces that all tests need.  b units, e elements, v visits.

    Attributes
    ----------
    weight, pull : array (b, e, v)
        Weight w of each reading; w times the effect of one sd of temperature error.
    shrink : array (b, e)
        kappa of A = diag(w) - kappa w w', the inverse covariance without temperature.
    inverse : array (b, v, v)
        Inverse of I + H'AH.
    block : array (b, e, v, v)
        Diagonal blocks of V^-1, element by element.
    score : array (b, e, v)
        V^-1 r.
    pulled : array (b, v)
        Temperature errors that the residuals show, in standard uncertainties.
    log_likelihood : array (b,)
        -(r'V^-1 r + log det V) / 2, less what no temperature or residual changes.
    common : array (b, c, e, v)
        Effect of one standard uncertainty of each shared error [mm].
    taken : array (b, t, e, v)
        V^-1 has lost the sum of taken taken' to shared errors, and to a cause whose size
        is free.
    """

    weight: Floats
    pull: Floats
    shrink: Floats
    inverse: Floats
    block: Floats
    score: Floats
    pulled: Floats
    log_likelihood: Floats
    common: Floats
    taken: Floats

    def shared_mm(self, effect: Floats) -> Floats:
        """Effect (b, e, v) of the temperatures and shared errors that the residuals show."""
        shown = effect * self.pulled[:, None]
        if self.common.shape[1]:
            sizes = (self.common * self.score[:, None]).sum((-1, -2))
            shown = shown + (self.common * sizes[..., None, None]).sum(1)
        return shown


def middle(
    residual: Floats, weight: Floats, setting_variance: Floats, effect: Floats
) -> tuple[Floats, Floats, Floats, Floats, Floats, Floats]:
    """Return shrink, pull, inverse, pulled, A r and the log likelihood."""
    total = weight.sum(-1)
    shrink = setting_variance / (1.0 + setting_variance * total)
    pull = weight * effect
    m = -np.swapaxes(pull * shrink[..., None], -1, -2) @ pull
    diagonal = np.einsum("...vv->...v", m)
    diagonal += 1.0 + (pull * effect).sum(-2)
    inverse = np.linalg.inv(m)
    weighted = weight * residual
    by_element = weighted.sum(-1)
    a_r = weighted - weight * (shrink * by_element)[..., None]
    c = (effect * a_r).sum(-2)
    pulled = (inverse @ c[..., None])[..., 0]
    fit = (residual * a_r).sum((-1, -2)) - (c * pulled).sum(-1)
    log_likelihood = -0.5 * (fit + np.linalg.slogdet(m)[1])
    return shrink, pull, inverse, pulled, a_r, log_likelihood


def whiten(
    residual: Floats,
    weight: Floats,
    setting_variance: Floats,
    effect: Floats,
    blocks: bool = True,
    common: Floats | None = None,
) -> Whitened:
    """Return V^-1 in pieces for a batch of units.

    Parameters
    ----------
    residual, weight : array (b, e, v)
        [mm], [1/mm^2]
    setting_variance : array (b, e)
        [mm^2]
    effect : array (b, e, v)
        Effect of one standard uncertainty of temperature on each reading [mm].
    blocks : bool
        Whether the diagonal blocks are wanted; without them it is cheaper.
    common : array (b, c, e, v), optional
        Effect of one standard uncertainty of each error that elements share [mm].
    """
    shrink, pull, inverse, pulled, a_r, log_likelihood = middle(
        residual, weight, setting_variance, effect
    )
    score = a_r - _pulls(weight, pull, shrink, pulled)
    nothing = np.zeros((len(weight), 0, *weight.shape[1:]))
    block = _blocks(weight, pull, shrink, inverse) if blocks else np.zeros((0, 0, 0, 0))
    white = Whitened(
        weight, pull, shrink, inverse, block, score, pulled, log_likelihood, nothing, nothing
    )
    return white if common is None or not common.shape[1] else _with(white, effect, common)


def _blocks(weight: Floats, pull: Floats, shrink: Floats, inverse: Floats) -> Floats:
    near = pull * (inverse[:, None] @ pull[..., None])[..., 0]
    gamma = near.sum(-1)
    # A - A H M^-1 H A with A = diag(w) - kappa w w', element by element
    side = shrink[..., None] * near - 0.5 * (shrink * (1.0 + shrink * gamma))[..., None] * weight
    block = pull[..., :, None] * inverse[:, None]
    block *= -pull[..., None, :]
    outer = weight[..., :, None] * side[..., None, :]
    block += outer
    block += np.swapaxes(outer, -1, -2)
    np.einsum("...vv->...v", block)[...] += weight
    return np.asarray(block, dtype=np.float64)


def _with(white: Whitened, effect: Floats, common: Floats) -> Whitened:
    """Return V^-1 with shared errors in V: one rank more for each."""
    for column in np.swapaxes(common, 0, 1):
        p_x = apply(white, column)
        gain = 1.0 / (1.0 + (column * p_x).sum((-1, -2)))
        likelier = (column * white.score).sum((-1, -2)) ** 2 * gain + np.log(gain)
        white = replace(
            lessened(white, effect, column, p_x * np.sqrt(gain)[:, None, None], gain),
            log_likelihood=white.log_likelihood + 0.5 * likelier,
        )
    return replace(white, common=common)


def lessened(
    white: Whitened, effect: Floats, column: Floats, taken: Floats, gain: Floats
) -> Whitened:
    """Return V^-1 less taken taken', with taken V^-1 x sqrt(gain) of a column x."""
    along = (column * white.score).sum((-1, -2)) * np.sqrt(gain)
    score = white.score - taken * along[:, None, None]
    block = white.block
    if block.size:
        block = block - taken[..., None] * taken[..., None, :]
    return replace(
        white,
        score=score,
        block=block,
        pulled=(effect * score).sum(1),
        taken=np.concatenate([white.taken, taken[:, None]], axis=1),
    )


def dense_columns(white: Whitened, columns: Floats) -> tuple[Floats, Floats]:
    """Return x'V^-1 r and x'V^-1 x for columns x (b, k, e, v) that touch a whole unit."""
    weighted = columns * white.weight[:, None]
    by_element = weighted.sum(-1)
    a_x = weighted - white.weight[:, None] * (white.shrink[:, None] * by_element)[..., None]
    own = (columns * a_x).sum((-1, -2))
    shared = (columns * white.pull[:, None]).sum(-2) - (
        (white.shrink[:, None] * by_element)[..., None] * white.pull[:, None]
    ).sum(-2)
    through = (shared @ white.inverse * shared).sum(-1)
    lost = _along_taken(white, columns)
    return (columns * white.score[:, None]).sum((-1, -2)), own - through - (lost**2).sum(-1)


def shaped_columns(white: Whitened, by_element: Floats, shapes: Floats) -> tuple[Floats, Floats]:
    """Return the same for columns by_element (b, e) times shapes (b, k, v).

    Through one matrix (b, v, v) for all shapes.
    """
    times = by_element[..., None] * white.weight
    shrunk = by_element * white.shrink
    a = -np.swapaxes(times * white.shrink[..., None], -1, -2) @ times
    direct = (by_element[..., None] * times).sum(1)
    pulls = -np.swapaxes(white.pull * shrunk[..., None], -1, -2) @ white.weight
    np.einsum("...vv->...v", a)[...] += direct
    np.einsum("...vv->...v", pulls)[...] += (by_element[..., None] * white.pull).sum(1)
    a -= np.swapaxes(pulls, -1, -2) @ white.inverse @ pulls
    lost = (by_element[:, None, :, None] * white.taken).sum(2)
    a -= np.swapaxes(lost, -1, -2) @ lost
    n = (shapes @ (by_element[..., None] * white.score).sum(1)[..., None])[..., 0]
    return n, ((shapes @ a) * shapes).sum(-1)


def _along_taken(white: Whitened, columns: Floats) -> Floats:
    """Return the part (b, k, t) of columns (b, k, e, v) along what V^-1 has lost."""
    b, t = white.taken.shape[:2]
    flat = columns.reshape(b, columns.shape[1], -1)
    return np.asarray(flat @ np.swapaxes(white.taken.reshape(b, t, flat.shape[-1]), -1, -2))


def apply(white: Whitened, columns: Floats) -> Floats:
    """Return V^-1 x for one column x (b, e, v)."""
    weighted = columns * white.weight
    a_x = weighted - white.weight * (white.shrink * weighted.sum(-1))[..., None]
    shared = (columns * white.pull).sum(-2) - (
        (white.shrink * weighted.sum(-1))[..., None] * white.pull
    ).sum(-2)
    z = (white.inverse @ shared[..., None])[..., 0]
    v_x: Floats = a_x - _pulls(white.weight, white.pull, white.shrink, z)
    if white.taken.shape[1]:
        lost = _along_taken(white, columns[:, None])[:, 0]
        v_x = v_x - (white.taken * lost[..., None, None]).sum(1)
    return v_x


def _pulls(weight: Floats, pull: Floats, shrink: Floats, z: Floats) -> Floats:
    """Return A H z."""
    along = pull * z[:, None]
    pulls: Floats = along - weight * (shrink * along.sum(-1))[..., None]
    return pulls


def weigh(n: Floats, d: Floats, spread: float | Floats, mean: float | Floats = 0.0) -> Floats:
    """Log likelihood ratio of a size c ~ N(mean, spread^2)."""
    precision = 1.0 / spread**2
    gain: Floats = 0.5 * (
        (n + mean * precision) ** 2 / (d + precision)
        - mean**2 * precision
        - np.log1p(spread**2 * np.maximum(d, 0.0))
    )
    return gain
