"""What a form of the user's own must hold before it may be filled, and the columns of the list that it may print."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from addin.forms.template import Template
from addin.forms.tokens import TemplateError, Value, Vocabulary
from addin.plan.record import HAND, PlanHead
from addin.plan.record_joint import JointEntry

LIST = "list: "
"""Before the heading of a carried column in a token."""

_UNIT = "the unit beside a pressure"
_ORDER = ("the order", ("order", "order picture"))
_ALSO = frozenset(("order large", "order fine"))
"""How the shipped forms hold the order: in the one of two faces that its length asks for."""
_CAUTIONS = ("the cautions", ("cautions",))


def with_carried(vocabulary: Vocabulary, head: PlanHead) -> Vocabulary:
    """The tokens of a form, with those for the columns that the plan carries."""
    return replace(vocabulary, values=vocabulary.values | {f"{LIST}{heading}" for heading in head.carried})


def carried(joint: JointEntry, head: PlanHead) -> dict[str, Value]:
    """Tokens of the carried columns of one joint."""
    return {f"{LIST}{heading}": joint.carried.get(heading) for heading in head.carried}


def check_form(book: Template, joints: Iterable[JointEntry]) -> None:
    """Refuse a form on which a crew could not see what it needs: for hydraulic cards the unit beside each pressure, the
    order and the cautions; for retightening the engineer's authority.

    Raises TemplateError with the list of what is missing.
    """
    chosen = list(joints)
    missing: list[str] = []
    hydraulic = [joint for joint in chosen if joint.method != HAND]
    if hydraulic:
        missing += [_UNIT + f" ({each})" for each in _without_unit(book)]
        needed = [_CAUTIONS] if all(joint.operation == "break" for joint in hydraulic) else [_ORDER, _CAUTIONS]
        missing += [
            _named(*each) for each in needed if not book.tokens & {*each[1], *(_ALSO if each is _ORDER else ())}
        ]
    authority = "notice" in book.tokens or any("authority" in text.casefold() for text in book.texts)
    if any(joint.operation == "retighten" for joint in chosen) and not authority:
        missing.append("the engineer's authority for retightening ({{notice}}, or words of your own)")
    if missing:
        raise TemplateError(f"{book.path.name}: sheet {book.name}: missing on the form: {'; '.join(missing)}")


def _named(what: str, tokens: Sequence[str]) -> str:
    return f"{what} ({' or '.join(f'{{{{{token}}}}}' for token in tokens)})"


def _without_unit(book: Template) -> list[str]:
    """The tokens one of which must stand for the unit of each pressure that the form shows."""
    wanted = []
    shown = {
        ("pass.set", "pass.pressure"): ("set heading", "set unit", "pass.pressure unit"),
        ("setpoint",): ("setpoint unit", "set heading", "set unit"),
        ("stage.pressure",): ("stage.pressure unit", "highest pressure unit"),
        ("highest pressure",): ("highest pressure unit",),
        ("turned pressure",): ("turned pressure unit",),
        ("pair.set 1", "pair.set 2"): ("set heading 1", "pair.pressure unit"),
        ("four.set 1", "four.set 2"): ("set heading 1", "four.pressure unit"),
        ("wrench.setpoint", "wrench.pressure 1"): ("wrench.setpoint unit", "wrench.words"),
        ("alternate.setpoint", "alternate.pressure 1", "alternate.set 1"): ("alternate.setpoint unit",),
    }
    for pressures, units in shown.items():
        if book.tokens & set(pressures) and not book.tokens & set(units):
            wanted.append(" or ".join(f"{{{{{unit}}}}}" for unit in units))
    return wanted
