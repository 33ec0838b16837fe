"""Filters and tags of the pages. The words are in studio.words, the drawings in studio.drawings."""

from datetime import datetime, tzinfo
from functools import lru_cache, wraps
from typing import Any

from django import forms, template
from django.conf import settings
from django.forms.boundfield import BoundField
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

from studio import charts, drawings, words
from studio.addresses import address
from studio.calc.days import said_day

register = template.Library()


def _known(name: str, write: Any) -> None:
    """A filter that answers with a dash where there is no number."""

    @wraps(write)  # Django counts a filter's arguments on what it wraps
    def shown(value: Any, *arguments: Any) -> str:
        return words.NONE if value in (None, "") else write(value, *arguments)

    register.filter(name, shown)


_known("grams", words.grams)
_known("mass", words.mass)
_known("litres", words.litres)
_known("about_litres", words.about_litres)
_known("sg", words.sg)
_known("pct", words.percent)
_known("share", words.share)
_known("signed", words.signed)
_known("number", lambda value, places=0: words.number(value, places, least=0))


@register.filter
def nth(value: int) -> str:
    """``2nd``: how many times over."""
    return words.nth(value)


@register.filter
def money(value: Any, currency: str = "") -> str:
    """``36.58 EUR``, in the studio's currency unless another is named."""
    return words.NONE if value in (None, "") else words.money(value, currency or settings.CURRENCY)


@lru_cache(maxsize=4096)
def _local(moment: datetime, zone: tzinfo) -> tuple[datetime, str]:
    """A moment in a time zone, and what machines and those who point at it read there."""
    here = moment.astimezone(zone)
    exact = f"{said_day(here)} {here:%H:%M}"
    return here, f'<time datetime="{here.isoformat("T", "minutes")}" title="{exact}">'


def _here(moment: datetime) -> tuple[datetime, datetime]:
    zone = timezone.get_current_timezone()
    return _local(moment, zone)[0], datetime.now(zone)


@register.filter
def ago(moment: datetime | None) -> str:
    return words.ago(*_here(moment)) if moment else words.NONE


@register.filter
def clock(moment: datetime | None) -> str:
    return words.clock(*_here(moment)) if moment else words.NONE


@register.filter
def until(moment: datetime | None) -> str:
    return f"until {words.clock(*_here(moment))}" if moment else ""


@register.simple_tag
def when(moment: datetime | None) -> str:
    """How long ago, with the exact time for whoever points at it or needs it by machine."""
    if not moment:
        return words.NONE
    zone = timezone.get_current_timezone()
    here, opening = _local(moment, zone)
    return mark_safe(f"{opening}{words.ago(here, datetime.now(zone))}</time>")  # noqa: S308 - numbers and months


@register.simple_tag
def dated(moment: datetime | None) -> str:
    """As ``when``, with the day in full beside it: ``24 weeks ago, 10 Jun 2026``."""
    if not moment:
        return words.NONE
    here, _ = _local(moment, timezone.get_current_timezone())
    day, said = said_day(here), when(moment)
    return said if f">{day}<" in said else mark_safe(f"{said}, {day}")  # noqa: S308 - numbers and months


@register.simple_tag
def at(moment: datetime | None, said: str) -> str:
    """As ``when``, but how long ago it is was ``said`` by whoever keeps the line it stands in."""
    if not moment:
        return said
    opening = _local(moment, timezone.get_current_timezone())[1]
    return mark_safe(f"{opening}{conditional_escape(said)}</time>")  # noqa: S308 - escaped here


@register.simple_tag
def url(name: str, *args: Any) -> str:
    """In place of the framework's own: the same words in a template, the address kept once it is known."""
    return address(name, *args)


@register.simple_tag
def icon(name: str) -> SafeString:
    return mark_safe(drawings.icon(name))  # noqa: S308 - fixed drawings


@register.simple_tag
def state(answer: str) -> SafeString:
    return mark_safe(drawings.state(str(answer)))  # noqa: S308 - one of four fixed words


@register.simple_tag
def dipstick(
    depth_cm: Any = None, litres: Any = None, of_cm: Any = None, colour: str = "", tall: bool = False
) -> SafeString:
    drawn = drawings.dipstick(depth_cm=depth_cm, litres=litres, of_cm=of_cm, colour=colour or "", tall=tall)
    return mark_safe(drawn)  # noqa: S308 - numbers and fixed words


@register.inclusion_tag("_dipstick.html")
def dipstick_figure(
    depth_cm: Any = None, litres: Any = None, of_cm: Any = None, colour: str = ""
) -> dict[str, Any]:
    """The tall stick with depth and litres written under it, for the top of a bucket's page."""
    return {"depth_cm": depth_cm, "litres": litres, "of_cm": of_cm, "colour": colour}


@register.simple_tag
def sg_scale(sg: Any = None, u: Any = None, target: Any = None, half: Any = None) -> SafeString:
    return mark_safe(drawings.sg_scale(sg=sg, u=u, target=target, half=half))  # noqa: S308 - numbers


@register.simple_tag
def sg_chart(
    points: Any,
    events: Any = (),
    target: Any = None,
    half: Any = None,
    rests: Any = (),
    limit: Any = None,
    until: Any = None,
) -> SafeString:
    """Points are ``charts.Dot`` or (moment, gravity), oldest first; rests ``charts.Rest``; events (moment,
    short words), escaped here. ``until``: the moment it ends at, when that is not now."""
    drawn = charts.sg_chart(
        points=[(timezone.localtime(at), *rest) for at, *rest in points],
        events=[(timezone.localtime(at), conditional_escape(text)) for at, text in events],
        rests=[charts.Rest(timezone.localtime(at), *rest) for at, *rest in rests],
        target=target,
        half=half,
        limit=limit,
        now=timezone.localtime(until) if until else timezone.localtime(),
        past=bool(until),
    )
    return mark_safe(drawn)  # noqa: S308 - numbers, and words escaped above


@register.inclusion_tag("_answer.html")
def answer(check: Any) -> dict[str, Any]:
    """The dip check as a panel.

    ``check`` has ``answer`` and ``reasons`` (sentences, or rows with one); where it has them, ``title`` and
    ``sentence`` come first and ``until`` or ``holds_until`` says how long the answer stands.
    """
    why = [getattr(reason, "sentence", reason) for reason in getattr(check, "reasons", ())]
    return {
        "kind": drawings.ANSWERS[check.answer],
        "title": getattr(check, "title", "") or check.answer.capitalize(),
        "sentences": [sentence for sentence in (getattr(check, "sentence", ""), *why) if sentence],
        "until": getattr(check, "until", None) or getattr(check, "holds_until", None),
        "stands": check.answer == "dip",
    }


@register.inclusion_tag("_field.html")
def field(bound: BoundField) -> dict[str, Any]:
    """One form field whole: label, hint, widget with its unit, the sentence beside it when refused.

    A field is marked optional unless the form names it in ``either``: those of which one is needed.
    """
    shape = _shape(bound)
    return {
        "field": bound,
        "parts": _parts(bound, shape),
        "shape": shape,
        "unit": getattr(bound.field, "unit", ""),
        "hint": bound.help_text,
        "errors": bound.errors,
        "target": _target(bound),
        "optional": not bound.field.required and bound.name not in getattr(bound.form, "either", ()),
    }


@register.simple_tag
def form_errors(*these: forms.BaseForm) -> str:
    """Above a refused form: how many things to put right, each a link to its field."""
    if not any(form.errors for form in these):
        return ""
    wrong = [bound for form in these for bound in form if bound.errors]
    general = [e for form in these for e in form.non_field_errors()]
    # Nobody can be led to a hidden field: what is wrong with it is said here.
    general += [e for bound in wrong if bound.is_hidden for e in bound.errors]
    fields = [(_target(bound), bound.label) for bound in wrong if not bound.is_hidden]
    return render_to_string("_form_errors.html", {"general": general, "fields": fields})


def _shape(bound: BoundField) -> str:
    widget = bound.field.widget
    if isinstance(widget, forms.RadioSelect | forms.CheckboxSelectMultiple):
        return "choices"
    if isinstance(widget, forms.CheckboxInput):
        return "tick"
    return "amount" if isinstance(widget, forms.MultiWidget) else "plain"


def _target(bound: BoundField) -> str:
    """The id of what a label or a link to the field leads to."""
    shape = _shape(bound)
    if shape == "choices":
        return bound.auto_id
    return f"{bound.auto_id}_0" if shape == "amount" else bound.id_for_label


def _described(bound: BoundField) -> dict[str, str]:
    ids = [f"{bound.auto_id}_hint"] if bound.help_text else []
    ids += [f"{bound.auto_id}_error"] if bound.errors else []
    attrs = {"aria-describedby": " ".join(ids)} if ids and bound.auto_id else {}
    return attrs | ({"aria-invalid": "true"} if bound.errors else {})


def _parts(bound: BoundField, shape: str) -> list[Any]:
    """The widget's pieces, ready to print: one for most, amount and unit for two, options for choices."""
    attrs = _described(bound)
    if shape == "choices":
        return list(bound.subwidgets)
    if shape == "amount":
        return [_piece(bound, sub, attrs) for sub in _subwidgets(bound)]
    return [bound.as_widget(attrs=attrs)]


def _subwidgets(bound: BoundField) -> list[dict[str, Any]]:
    attrs = {"id": bound.auto_id} if bound.auto_id else {}
    attrs = bound.build_widget_attrs(attrs)
    context = bound.field.widget.get_context(bound.html_name, bound.value(), attrs)
    return context["widget"]["subwidgets"]


def _piece(bound: BoundField, sub: dict[str, Any], attrs: dict[str, str]) -> SafeString:
    own = sub["attrs"] | attrs
    # The label names the amount; a list beside it needs a name of its own.
    if sub.get("type") is None and "aria-label" not in own:
        own["aria-label"] = f"unit of {bound.label}"
    rendered = bound.form.renderer.render(sub["template_name"], {"widget": sub | {"attrs": own}})
    return mark_safe(rendered)  # noqa: S308 - escaped by the widget's own template
