"""Creep and shrinkage shortening of a unit between its setting and a reading."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import StrEnum
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero
from movement.concrete import (
    BARRING,
    Concrete,
    Scatter,
    Shortening,
    ShorteningBasis,
    ShorteningNote,
)
from movement.errors import InputError
from movement.standards import aashto_lrfd_9_shortening as aashto
from movement.standards import en_1992_1_1_2004_shortening as en
from movement.standards.validity import Validity
from movement.temperature import DeckType

_Kind = TypeVar("_Kind", bound=np.generic)


@dataclass(frozen=True, slots=True)
class _Ranges:
    strength: Validity
    humidity: Validity
    creep_humidity: Validity
    size: Validity
    loading: Validity


_POSITIVE_SIZE = Validity("notional_size_mm", 1e-9, np.inf, "above zero")
_AASHTO = _Ranges(
    aashto.STRENGTH, aashto.HUMIDITY, aashto.HUMIDITY, _POSITIVE_SIZE, aashto.LOADING_AGE
)
_EN = _Ranges(en.STRENGTH, en.SHRINKAGE_HUMIDITY, en.CREEP_HUMIDITY, en.SIZE, en.LOADING_AGE)


def shortening_between(
    concrete: Concrete,
    deck_type: ArrayLike,
    setting_age_d: ArrayLike,
    reading_age_d: ArrayLike,
    basis: ArrayLike,
    scatter: Scatter | None = None,
) -> Shortening:
    """Strain by which a unit shortened between setting and reading.

    Parameters
    ----------
    concrete : Concrete
        Arrays that broadcast to (n,).
    deck_type : array_like of str
        Values of :class:`DeckType`.  A steel deck does not shorten; nor, as judged here,
        does a composite one along its girders, whose steel holds the slab.
    setting_age_d, reading_age_d : array_like
        Age of the concrete at both [days]; earlier than the setting gives a minus.
    basis : array_like of str
        Values of :class:`ShorteningBasis`.
    scatter : Scatter
        Of the rules; the defaults if left out.

    Returns
    -------
    Shortening, arrays (n,)
        Where something needed is not known, or outside the range of the rule, NaN with
        the reason in ``notes``; no loading age is needed where nothing presses.

    Notes
    -----
    eps = [phi(t) - phi(t_s)] sigma / E + eps_sh(t) - eps_sh(t_s), u^2 = (v_c eps_c)^2 +
    (v_s eps_s)^2: one unit lies off the rule by the same factor at both ages.  Creep is
    linear in the stress (up to 0.45 of the strength), which counts as constant; reinforcement
    that holds the concrete back is left out, so the strain is rather too large.
    Source: AASHTO LRFD 5.4.2.3; EN 1992-1-1:2004, 3.1.4 and Annex B.
    """
    shapes = [np.shape(getattr(concrete, each.name)) for each in fields(concrete)]
    t_set = at_least_zero("setting_age_d", setting_age_d)
    t_read = at_least_zero("reading_age_d", reading_age_d)
    bases = _names("basis", basis, ShorteningBasis)
    decks = _names("deck_type", deck_type, DeckType)
    shape = np.broadcast_shapes(*shapes, t_set.shape, t_read.shape, bases.shape, decks.shape)
    flat = Concrete(*(_flat(getattr(concrete, each.name), shape) for each in fields(concrete)))
    ages = _flat(t_set, shape), _flat(t_read, shape)
    bases, decks = _flat(bases, shape), _flat(decks, shape)

    creep, shrinkage = np.zeros(bases.shape), np.zeros(bases.shape)
    notes = np.zeros(bases.shape, dtype=np.uint16)
    for each in ShorteningBasis:
        rows = (bases == str(each)) & (decks == str(DeckType.CONCRETE))
        if rows.any():
            part = Concrete(*(getattr(flat, name.name)[rows] for name in fields(concrete)))
            creep[rows], shrinkage[rows], notes[rows] = _by_rule(
                each, part, ages[0][rows], ages[1][rows]
            )
    spread = scatter or Scatter()
    u = np.hypot(spread.creep * creep, spread.shrinkage * shrinkage)
    return Shortening(
        (creep + shrinkage).reshape(shape),
        u.reshape(shape),
        creep.reshape(shape),
        shrinkage.reshape(shape),
        notes.reshape(shape),
    )


def _by_rule(
    basis: ShorteningBasis, given: Concrete, t_set: Floats, t_read: Floats
) -> tuple[Floats, Floats, NDArray[np.uint16]]:
    is_en = basis == ShorteningBasis.EN_2004
    ranges = _EN if is_en else _AASHTO
    at_loading = given.strength_at_loading_mpa
    if is_en:
        strength = given.strength_mpa
    else:
        strength = np.where(
            np.isnan(at_loading), aashto.RELEASE_SHARE * given.strength_mpa, at_loading
        )
    pressed = ~(given.stress_mpa == 0)
    notes = _notes_on(ranges, given, strength, pressed)
    notes |= _note(np.isnan(t_set) | np.isnan(t_read), ShorteningNote.NO_AGE)
    if not is_en:
        assumed = np.isnan(at_loading) & ~np.isnan(given.strength_mpa)
        notes |= _note(assumed, ShorteningNote.STRENGTH_AT_LOADING_ASSUMED)
        beyond = given.notional_size_mm / 2.0 > aashto.LARGEST_DERIVED_RATIO_MM
        notes |= _note(beyond, ShorteningNote.SIZE_BEYOND_TESTS)
    from_rule = pressed & np.isnan(given.modulus_mpa)
    notes |= _note(from_rule, ShorteningNote.MODULUS_FROM_RULE)

    creep, shrinkage = (np.full(notes.shape, np.nan) for _ in range(2))
    good = (notes & np.uint16(int(BARRING) & 0xFFFF)) == 0
    part = Concrete(*(getattr(given, each.name)[good] for each in fields(given)))
    before, after = t_set[good], t_read[good]
    shrinkage[good] = _shrinkage_at(basis, part, strength[good], after) - _shrinkage_at(
        basis, part, strength[good], before
    )
    creep[good] = 0.0
    loaded = good & pressed
    part = Concrete(*(getattr(given, each.name)[loaded] for each in fields(given)))
    f = strength[loaded]
    own = en.tangent_modulus_mpa(f) if is_en else aashto.modulus_mpa(f)
    elastic = part.stress_mpa / np.where(np.isnan(part.modulus_mpa), own, part.modulus_mpa)
    creep[loaded] = elastic * (
        _creep_at(basis, part, f, t_read[loaded]) - _creep_at(basis, part, f, t_set[loaded])
    )
    return creep, shrinkage, notes


def _notes_on(
    ranges: _Ranges, given: Concrete, strength: Floats, pressed: NDArray[np.bool_]
) -> NDArray[np.uint16]:
    always = np.ones(pressed.shape, dtype=bool)
    notes = np.zeros(pressed.shape, dtype=np.uint16)
    for values, valid, needed, missing, outside in (
        (strength, ranges.strength, always, "NO_STRENGTH", "STRENGTH_OUTSIDE"),
        (given.humidity_percent, ranges.humidity, always, "NO_HUMIDITY", "HUMIDITY_OUTSIDE"),
        (given.humidity_percent, ranges.creep_humidity, pressed, "NONE", "HUMIDITY_OUTSIDE"),
        (given.notional_size_mm, ranges.size, always, "NO_SIZE", "SIZE_OUTSIDE"),
        (given.loading_d, ranges.loading, pressed, "NO_LOADING_AGE", "LOADING_AGE_OUTSIDE"),
    ):
        unknown = np.isnan(values)
        notes |= _note(needed & unknown, ShorteningNote[missing])
        notes |= _note(needed & ~unknown & ~valid.holds(values), ShorteningNote[outside])
    notes |= _note(np.isnan(given.curing_end_d), ShorteningNote.NO_CURING_AGE)
    notes |= _note(np.isnan(given.stress_mpa), ShorteningNote.NO_STRESS)
    bent = given.stress_mpa > en.LINEAR_CREEP_SHARE * strength
    return notes | _note(bent, ShorteningNote.STRESS_NOT_LINEAR)


def _shrinkage_at(
    basis: ShorteningBasis, given: Concrete, strength: Floats, age_d: Floats
) -> Floats:
    drying = np.maximum(age_d - given.curing_end_d, 0.0)
    if basis == ShorteningBasis.EN_2004:
        return en.drying_shrinkage(
            drying, strength, given.notional_size_mm, given.humidity_percent, given.cement
        ) + en.autogenous_shrinkage(age_d, strength)
    return aashto.early_drying_factor(given.curing_end_d) * aashto.shrinkage_strain(
        drying, strength, given.notional_size_mm / 2.0, given.humidity_percent, _form(basis)
    )


def _creep_at(basis: ShorteningBasis, given: Concrete, strength: Floats, age_d: Floats) -> Floats:
    duration = np.maximum(age_d - given.loading_d, 0.0)
    if basis == ShorteningBasis.EN_2004:
        return en.creep_coefficient(
            duration,
            given.loading_d,
            strength,
            given.notional_size_mm,
            given.humidity_percent,
            given.cement,
        )
    return aashto.creep_coefficient(
        duration,
        given.loading_d,
        strength,
        given.notional_size_mm / 2.0,
        given.humidity_percent,
        _form(basis),
    )


def _form(basis: ShorteningBasis) -> aashto.TimeForm:
    if basis == ShorteningBasis.AASHTO_2007:
        return aashto.TimeForm.FROM_2007_TO_2014
    return aashto.TimeForm.FROM_2015


def _note(rows: NDArray[np.bool_], note: ShorteningNote) -> NDArray[np.uint16]:
    return rows.astype(np.uint16) * np.uint16(int(note))


def _names(field: str, values: ArrayLike, allowed: type[StrEnum]) -> NDArray[np.str_]:
    names: NDArray[np.str_] = np.asarray(values, dtype=np.str_)
    known = np.isin(names, [str(each) for each in allowed])
    if not known.all():
        raise InputError(
            field,
            f"'{names[~known].flat[0]}' is not known",
            f"Give one of {', '.join(allowed)}.",
        )
    return names


def _flat(values: NDArray[_Kind], shape: tuple[int, ...]) -> NDArray[_Kind]:
    return np.broadcast_to(values, shape).reshape(-1)
