"""The skin that is left under a part, and how far it may differ from what was programmed.

Terms: the *zero* of the heights lies on the bed or on top of the sheet. Half-bands are written +-.
Zero on top: s = s_nom + (T - T_nom) +- F +- e_z - g. Zero on the bed: s = s_nom +- F +- e_z - g, so
that the thickness T of the sheet drops out. F is the flatness of the bed, e_z the error of the
tool length and its growth with heat, g a gap under a lifted sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

THIN_SHEET_MM = 3.0
"""Below this the standard of extruded sheet has its wider share (ISO 7823-2, as quoted by a sheet
producer; the standard itself not read)."""

LEAST_SKIN_MM = 0.3
"""Thinnest skin worth programming; estimate."""

CRITICAL_SKIN_MM = 0.2
"""Thinnest skin that still holds a part; estimate."""

SKIN_STEP_MM = 0.1
"""Programmed skins are rounded up to this."""

OVERCUT_MARGIN_MM = 0.05
"""What the overcut into the board adds to the errors; estimate."""


def thickness_tolerance_mm(
    thickness_mm: float, base_mm: float, share: float, share_thin: float | None = None
) -> float:
    """Return the tolerance of a sheet's thickness by its standard, as half-band.

    Equation: +-(base + share t), with the thin share below 3 mm.

    Parameters
    ----------
    thickness_mm : float
        Nominal thickness t. [mm]
    base_mm, share : float
        0.4 mm and 0.1 for cast acrylic; 0 and 0.05 for extruded. [mm], [1]
    share_thin : float or None
        Share below 3 mm: 0.1 for extruded acrylic; None where there is but one.

    Returns
    -------
    float
        Half-band. [mm]

    Notes
    -----
    The basis of an estimate; a measured thickness is better.

    Examples
    --------
    Cast and extruded acrylic of 6 mm:

    >>> thickness_tolerance_mm(6.0, 0.4, 0.1), round(thickness_tolerance_mm(6.0, 0.0, 0.05, 0.1), 2)
    (1.0, 0.3)

    References
    ----------
    ISO 7823-1 and ISO 7823-2 as quoted by a sheet producer; the standards themselves not read.
    """
    thin = share_thin is not None and thickness_mm < THIN_SHEET_MM
    part = share_thin if thin and share_thin is not None else share
    return base_mm + part * thickness_mm


def measured_half_band_mm(thicknesses_mm: tuple[float, ...], probe_error_mm: float) -> float:
    """Return the half-band of a thickness that was measured at several places.

    Equation: (T_max - T_min) / 2 + e_probe.

    Parameters
    ----------
    thicknesses_mm : tuple of float
        At least one; ask for five. [mm]
    probe_error_mm : float
        Error of the calliper. [mm]

    Returns
    -------
    float
        Half-band about the middle of the range. [mm]

    Notes
    -----
    Few points miss the thinnest place: below five the standard's band is the honest one.

    Examples
    --------
    >>> round(measured_half_band_mm((5.9, 6.0, 5.8), 0.05), 3)
    0.15

    References
    ----------
    House rule.
    """
    return (max(thicknesses_mm) - min(thicknesses_mm)) / 2.0 + probe_error_mm


@dataclass(frozen=True, slots=True)
class SkinBand:
    """Skin that may really be left. [mm].

    Parameters
    ----------
    nominal_mm : float
        As programmed, less a known gap.
    worst_mm : float
        Half-band when all errors add up.
    likely_mm : float
        Half-band as root of the sum of squares: three standard deviations.
    """

    nominal_mm: float
    worst_mm: float
    likely_mm: float

    @property
    def thinnest_mm(self) -> float:
        """Worst case: at or below 0 the cutter is through. [mm]."""
        return self.nominal_mm - self.worst_mm

    @property
    def thickest_mm(self) -> float:
        """What the skim pass has to be sized for. [mm]."""
        return self.nominal_mm + self.worst_mm

    @property
    def cut_through_probability(self) -> float:
        """Chance that no skin is left, if the errors are normal and independent."""
        if self.likely_mm == 0.0:
            return float(self.nominal_mm <= 0.0)
        return 0.5 * math.erfc(3.0 * self.nominal_mm / self.likely_mm / math.sqrt(2.0))


def skin_band(
    nominal_mm: float,
    bed_flatness_mm: float,
    depth_error_mm: float,
    thickness_half_band_mm: float = 0.0,
    gap_mm: float = 0.0,
) -> SkinBand:
    """Return the band of the skin left under a part.

    Equation: W = sum of the half-bands (worst), root of the sum of their squares (likely).

    Parameters
    ----------
    nominal_mm : float
        Programmed skin s_nom. [mm]
    bed_flatness_mm, depth_error_mm : float
        F and e_z. [mm]
    thickness_half_band_mm : float
        Half-band of the sheet's thickness; 0 with the zero on the bed, where it drops out. [mm]
    gap_mm : float
        Lift g of the sheet off the bed: it only takes away. [mm]

    Returns
    -------
    SkinBand
        Nominal, worst and likely.

    Notes
    -----
    Cut through if nominal - worst <= 0.

    Examples
    --------
    6 mm cast acrylic, 0.5 mm programmed from the top: the cutter may be through by 0.65 mm.

    >>> round(skin_band(0.5, 0.1, 0.05, thickness_half_band_mm=1.0).thinnest_mm, 3)
    -0.65

    References
    ----------
    Derived: addition of errors.
    """
    bands = (thickness_half_band_mm, bed_flatness_mm, depth_error_mm)
    return SkinBand(nominal_mm - gap_mm, sum(bands), math.hypot(*bands))


def needed_skin_mm(
    bed_flatness_mm: float,
    depth_error_mm: float,
    thickness_half_band_mm: float = 0.0,
    gap_mm: float = 0.0,
    critical_mm: float = CRITICAL_SKIN_MM,
) -> float:
    """Return the nominal skin that leaves the critical skin in the worst case.

    Equation: s = s_crit + T_half + F + e_z + g.

    Parameters
    ----------
    bed_flatness_mm, depth_error_mm, thickness_half_band_mm, gap_mm : float
        As in `skin_band`. [mm]
    critical_mm : float
        Thinnest skin that still holds s_crit. [mm]

    Returns
    -------
    float
        s. [mm]

    Notes
    -----
    Through-cuts take their heights from the bed: then the sheet's thickness drops out.

    Examples
    --------
    >>> round(needed_skin_mm(0.1, 0.05), 3), round(needed_skin_mm(0.1, 0.05, 1.0), 3)
    (0.35, 1.35)

    References
    ----------
    Derived.
    """
    return critical_mm + thickness_half_band_mm + bed_flatness_mm + depth_error_mm + gap_mm


def programmed_skin_mm(needed_mm: float) -> float:
    """Return the skin to program: at least 0.3 mm, rounded up to 0.1 mm.

    Equation: s_nom = 0.1 ceil(max(s, 0.3) / 0.1).

    Parameters
    ----------
    needed_mm : float
        What the errors need. [mm]

    Returns
    -------
    float
        s_nom. [mm]

    Examples
    --------
    >>> programmed_skin_mm(0.35), programmed_skin_mm(0.1)
    (0.4, 0.3)
    """
    steps = math.ceil(max(needed_mm, LEAST_SKIN_MM) / SKIN_STEP_MM - 1e-9)
    return round(steps * SKIN_STEP_MM, 9)


def overcut_mm(bed_flatness_mm: float, depth_error_mm: float) -> float:
    """Return how deep a through-cut has to go into the board to be through everywhere.

    Equation: F + e_z + 0.05 mm.

    Parameters
    ----------
    bed_flatness_mm, depth_error_mm : float
        F and e_z. [mm]

    Returns
    -------
    float
        Least overcut. [mm]

    Examples
    --------
    >>> round(overcut_mm(0.1, 0.05), 3)
    0.2

    References
    ----------
    House rule.
    """
    return bed_flatness_mm + depth_error_mm + OVERCUT_MARGIN_MM
