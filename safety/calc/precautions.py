"""Which precautionary statements a label shows: our own convention of seven places, at most six filled.

That at most six stand is law (CLP Art. 28(3) [O]); which, and in what order, is a project convention [P].
"""

from collections.abc import Iterable

MOST = 6
_CMR = ("H340", "H341", "H350", "H351", "H360", "H361")
_RESPONSES: tuple[tuple[tuple[str, ...], str], ...] = (
    (("H300", "H301"), "P301+P310"),
    (("H330",), "P304+P340"),
    (("H310", "H311"), "P302+P352"),
    (("H314",), "P303+P361+P353"),
    (("H318",), "P305+P351+P338"),
    (("H331",), "P304+P340"),
    (_CMR, "P308+P313"),
    (("H334",), "P342+P311"),
    (("H370", "H371"), "P308+P311"),
    (("H372", "H373"), "P314"),
    (("H302",), "P301+P312"),
    (("H332",), "P304+P340"),
    (("H319",), "P305+P351+P338"),
    (("H317",), "P333+P313"),
    (("H312",), "P302+P352"),
    (("H315",), "P332+P313"),
    (("H335", "H336"), "P304+P340"),
)
_DUST = ("H314", "H330", "H362", "H370", "H371", "H372", "H373")
_DUST_AVOID = ("H317", "H331", "H332", "H334", "H335", "H336")
_GLOVES = (*_CMR, "H310", "H311", "H312", "H314", "H315", "H317", "H318", "H319")
_WATERS = ("H400", "H410", "H411", "H412", "H413")
_EATING = ("H300", "H301", "H302", "H310", "H362", "H370", "H371", "H372")


def precautionary_statements(*, label_h_codes: Iterable[str], public: bool = False) -> tuple[str, ...]:
    """P codes for the printed H codes, in order of their places.

    ``public``: handed to the public, where disposal has to be said: then P501 takes the last place.
    """
    codes = tuple(label_h_codes)
    if not codes:
        return ()

    def any_of(beginnings: tuple[str, ...]) -> bool:
        return any(code.startswith(beginnings) for code in codes)

    found = [
        "P201" if any_of(_CMR) else "",
        "P260" if any_of(_DUST) else "P261" if any_of(_DUST_AVOID) else "",
        "P280" if any_of(_GLOVES) else "",
        next((response for when, response in _RESPONSES if any_of(when)), ""),
        "P273" if any_of(_WATERS) else "",
        "P270" if any_of(_EATING) else "P264" if any_of(("H314", "H319", "H315")) else "",
    ]
    chosen = [code for code in found if code]
    if public and len(chosen) == MOST:
        chosen.pop()
    return tuple([*chosen, "P501"][:MOST])
