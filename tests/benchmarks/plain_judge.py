"""One reading judged in plain Python, number by number: what the model's speed is measured by.

It follows the formulas of the movement model and none of its code.
"""

import math

OUT, WATCH, IN_RANGE = 3, 2, 1


def judge_one(sides, setting, reading, limits, extremes, watch_k=2.0, out_k=3.0, near=0.9):
    """Return verdict, expected value, half width of the band, and use at both extremes.

    Parameters
    ----------
    sides : list of (lever, alpha, u_lever, u_alpha, temperature, u_temperature)
    setting : (value, temperature, u_value, u_temperature)
    reading : (value, u_value)
    limits : (lower, upper, neutral)
    extremes : (coldest, hottest)
    """
    set_at, set_c, u_set, u_set_k = setting
    value, u_value = reading
    expected, slope, variance, by_temperature, weight, weighted = set_at, 0.0, 0.0, 0.0, 0.0, 0.0
    for lever, alpha, u_lever, u_alpha, at_c, u_k in sides:
        rise = at_c - set_c
        expected += lever * alpha * rise
        slope += lever * alpha
        variance += (lever * u_alpha * rise) ** 2 + (u_lever * alpha * rise) ** 2
        by_temperature += lever * alpha * u_k
        weight += abs(lever * alpha)
        weighted += lever * alpha * at_c
    variance += by_temperature**2 + (slope * u_set_k) ** 2 + u_set**2 + u_value**2
    u = math.sqrt(variance)
    off = abs(value - expected) / u
    lower, upper, neutral = limits
    at_zero = value - weighted
    uses, past = [], False
    for position in (value, at_zero + slope * extremes[0], at_zero + slope * extremes[1]):
        past = past or position <= lower or position >= upper
        up, down = (
            (position - neutral) / (upper - neutral),
            (neutral - position) / (neutral - lower),
        )
        uses.append(max(up, down))
    if off > out_k or past:
        verdict = OUT
    elif off > watch_k or max(uses) >= near:
        verdict = WATCH
    else:
        verdict = IN_RANGE
    return verdict, expected, 2.0 * u, uses[1], uses[2]
