"""Rules of a company's Windows that keep Excel from running our functions, and what to ask for.

Where the rules stand in the registry is from memory of Microsoft's administrative templates; on a computer with such
rules the list of DEVELOPERS.md says what to look at.
"""

from collections.abc import Callable, Mapping

_OFFICE = r"Software\Policies\Microsoft\Office\16.0\Excel\Security"
_OWN = r"Software\Microsoft\Office\16.0\Excel\Security"
_DEFENDER = r"SOFTWARE\{}Microsoft\Windows Defender\Windows Defender Exploit Guard\ASR\Rules"
_BY_RULE = ("Policies\\", "")
_CHILDREN, _CALLS = "d4f940ab-401b-4efc-aadc-ad5f3c50688a", "92e97fa1-2edf-4476-bdd6-9dd0b4dddc7b"
"""Defender's rules: no program is started from Office; no macro calls a library of Windows."""

PLACES: dict[str, tuple[tuple[str, str, str], ...]] = {
    "macros": (("user", _OFFICE, "VBAWarnings"), ("user", _OWN, "VBAWarnings")),
    "addins": (("user", _OFFICE, "DisableAllAddins"), ("user", _OWN, "DisableAllAddins")),
    "signed addins": (("user", _OFFICE, "RequireAddinSig"), ("user", _OWN, "RequireAddinSig")),
    "trusted folders": (("user", _OFFICE + r"\Trusted Locations", "AllLocationsDisabled"),),
    "children": tuple(("machine", _DEFENDER.format(part), _CHILDREN) for part in _BY_RULE),
    "calls": tuple(("machine", _DEFENDER.format(part), _CALLS) for part in _BY_RULE),
}
"""Where each rule stands, the strongest place first: root of the registry, key, value."""

Reader = Callable[[str, str, str], object]
Policies = Mapping[str, int]


def read(value: Reader) -> dict[str, int]:
    """The rules that are set. `value`: reads one value of the registry, None where it is not there."""
    found = {}
    for rule, places in PLACES.items():
        for place in places:
            got = value(*place)
            if got is not None and str(got).isdecimal():
                found[rule] = int(str(got))
                break
    return found


def obstacles(policies: Policies) -> list[tuple[bool, str]]:
    """What the rules forbid: whether it stops the functions for sure, and one sentence.

    >>> obstacles({"macros": 4})
    [(True, 'macros are switched off by a rule of this computer (VBAWarnings 4)')]
    >>> obstacles({"macros": 2, "children": 0})
    []
    """
    said = []
    macros = policies.get("macros")
    if macros == 4:
        said.append((True, "macros are switched off by a rule of this computer (VBAWarnings 4)"))
    elif macros == 3:
        said.append((False, "only signed macros run on this computer (VBAWarnings 3); the add-in file is not signed, "
                            "so its folder must be a trusted location"))  # fmt: skip
    if policies.get("addins") == 1:
        said.append((True, "add-ins are switched off by a rule of this computer (DisableAllAddins)"))
    if policies.get("signed addins") == 1:
        said.append((True, "only signed add-ins are loaded on this computer (RequireAddinSig); tautsheet's is not"))
    if policies.get("trusted folders") == 1:
        said.append((False, "trusted locations are switched off by a rule of this computer (AllLocationsDisabled)"))
    for rule, what in (("children", "Office may not start other programs"), ("calls", "macros may not call libraries")):
        kind = policies.get(rule)
        number = _CHILDREN if rule == "children" else _CALLS
        if kind == 1:
            said.append((True, f"{what} on this computer (rule {number} of Microsoft Defender)"))
        elif kind in (2, 6):
            how = "is watched" if kind == 2 else "is warned of"
            said.append((False, f"that {what.replace('may not', 'should not')} {how} by rule {number} of Microsoft "
                                "Defender"))  # fmt: skip
    return said


def request(addin: str, python: str) -> str:
    """What to ask the IT department for, in one paragraph."""
    return (
        f"for the IT department: Excel on this computer needs to load one add-in file with unsigned macros, {addin} "
        "(make its folder a trusted location; add-ins must not be limited to signed ones), the macros call one library "
        f"of the package xlwings, and Excel starts one program by its full path, {python}, without a shell; where "
        f"Microsoft Defender's rules {_CHILDREN} (programs started by Office) or {_CALLS} (libraries called by macros) "
        "block, they need an exclusion for these files. Nothing is opened to the network, and no workbook has a say in "
        "what is started"
    )
