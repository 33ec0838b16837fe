"""Density and viscosity of plain water, air-free, at ordinary pressure."""

from math import pow

from studio.calc.arguments import between

KELL_DENOMINATOR = 16.879850e-3  # 16.897850e-3 is a misprint in circulation: 0.27 kg/m3 low at 20 C


def water_density_kg_per_m3(*, temperature_c: float) -> float:
    """Density of water in kg/m3, 0 to 40 C (ValueError outside).

    Source: Tanaka et al. 2001, Metrologia 38:301, coefficients as carried in public code (opened);
    agrees with the 41 printed values from 0 to 40 C to 5e-5.
    """
    between(0, 40, temperature_c=temperature_c)
    t = temperature_c
    return 999.974950 * (1 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))


def water_density_kg_per_l(*, temperature_c: float) -> float:
    """The same in kg/L, the unit of every ``rho_w`` here."""
    return water_density_kg_per_m3(temperature_c=temperature_c) / 1000


def water_density_kell_kg_per_m3(*, temperature_c: float, denominator: float = KELL_DENOMINATOR) -> float:
    """Density of water in kg/m3 by another formula, for cross-checks; 0 to 100 C (ValueError outside).

    Source: Kell 1975, J. Chem. Eng. Data 20:97, coefficients as carried in public code (opened).
    """
    between(0, 100, temperature_c=temperature_c)
    t = temperature_c
    numerator = (
        999.83952
        + 16.945176 * t
        - 7.9870401e-3 * t**2
        - 46.170461e-6 * t**3
        + 105.56302e-9 * t**4
        - 280.54253e-12 * t**5
    )
    return numerator / (1 + denominator * t)


def water_viscosity_mpas(*, temperature_c: float) -> float:
    """Dynamic viscosity of water in mPa s, 0 to 100 C (ValueError outside).

    Source: IAPWS supplementary equation for 0.1 MPa (from memory); an open reference package agrees to
    3e-5 relative.
    """
    between(0, 100, temperature_c=temperature_c)
    x = (temperature_c + 273.15) / 300
    return 1e-3 * (
        280.68 * pow(x, -1.9) + 511.45 * pow(x, -7.7) + 61.131 * pow(x, -19.6) + 0.45903 * pow(x, -40)
    )
