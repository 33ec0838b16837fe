"""The potters' old relation in ounces per imperial pint, and its inverses.

Source: Brongniart 1854 as quoted in a handbook for potters (quotation opened). Derivation: putting
solids of volume W/g in the place of water adds W - W/g to the 20 oz that a pint of water weighs.
"""

from studio.calc.arguments import above, at_least, not_negative


def brongniart_dry_oz(*, pint_oz: float, solids_sg: float) -> float:
    """Ounces of dry glaze in an imperial pint that weighs ``pint_oz``; the pint of water is 20 oz.

    ``pint_oz`` 20 or more, ``solids_sg`` above 1. ValueError otherwise.
    """
    at_least(20, pint_oz=pint_oz)
    above(1, solids_sg=solids_sg)
    return (pint_oz - 20) * solids_sg / (solids_sg - 1)


def brongniart_pint_oz(*, dry_oz: float, solids_sg: float) -> float:
    """Weight in ounces of an imperial pint that holds ``dry_oz`` of dry glaze. Inverse of the above."""
    not_negative(dry_oz=dry_oz)
    above(1, solids_sg=solids_sg)
    return 20 + dry_oz * (solids_sg - 1) / solids_sg


def brongniart_solids_sg(*, pint_oz: float, dry_oz: float) -> float:
    """SG of the solids from a pint's weight and the ounces it leaves when dried. Inverse of the above."""
    at_least(20, pint_oz=pint_oz)
    above(pint_oz - 20, dry_oz=dry_oz)
    return dry_oz / (dry_oz - (pint_oz - 20))
