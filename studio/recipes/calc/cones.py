"""Pyrometric cones by their names, coolest first. 06 and 6 are different cones, far apart."""

CONES: tuple[str, ...] = (*(f"0{n}" for n in range(22, 0, -1)), *(str(n) for n in range(1, 11)))


def cone_order(cone: str) -> int:
    """Place of a cone from coolest (0) to hottest. ValueError when it is not on the list."""
    return CONES.index(cone)
