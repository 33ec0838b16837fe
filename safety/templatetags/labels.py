"""What templates of labels draw with: QR codes, pictograms, the line on top of a further face."""

from django import template
from django.conf import settings
from django.templatetags.static import static
from django.urls import reverse

from safety.labelling.faces import STRIP
from safety.labelling.flow import onward as onward_words
from safety.labelling.hazard_part import PICTOGRAMS
from safety.labelling.pieces import Face
from studio.printing import qr_svg

register = template.Library()


@register.filter
def label_qr(serial: str) -> str:
    """The QR code that opens the label with that serial."""
    return qr_svg(f"{settings.STIRBOOK_URL}{reverse('label', args=[serial])}")


@register.filter
def address_qr(address: str) -> str:
    """The QR code of one of our own addresses."""
    return qr_svg(f"{settings.STIRBOOK_URL}{address}")


@register.simple_tag
def pictogram(code: str) -> str:
    """Where the drawing of a pictogram is."""
    return static(f"studio/pictograms/{code}.svg")


@register.filter
def pictogram_name(code: str) -> str:
    """A pictogram in words: "skull and crossbones"."""
    return PICTOGRAMS.get(code, code)


@register.filter
def side_class(face: Face) -> str:
    """The class in label.css that gives pictograms their size: s16, s23 …"""
    return f"s{int(face.side_mm)}"


@register.simple_tag
def onward(face: Face) -> str:
    """What stands on top of a further face."""
    return onward_words(face.words, face.number, face.of)


@register.simple_tag
def strip_words() -> str:
    """The sentence on the strip for a lid."""
    return STRIP
