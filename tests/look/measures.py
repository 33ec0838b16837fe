"""What a page in a browser is measured by: its text, its targets, its width, its strong button, axe."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

# Text with letters in it, its size as it is drawn: a drawing may be scaled.
SMALL_TEXT = """() => [...document.querySelectorAll('body *')]
  .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()))
  .filter(e => e.getClientRects().length && !e.closest('defs, script, style, noscript'))
  .filter(e => {
    const drawn = e.ownerSVGElement ? e.getScreenCTM() : null;
    const scale = drawn ? Math.hypot(drawn.a, drawn.b) : 1;
    return parseFloat(getComputedStyle(e).fontSize) * scale < 15.99;
  })
  .map(e => e.outerHTML.slice(0, 90))"""
# A link inside a sentence is not a target of its own.
SMALL_TARGETS = """() => [...document.querySelectorAll(
    'a, button, input:not([type=hidden]), select, textarea, summary, .choice')]
  .filter(e => !e.closest('p, li:not(.bar li, .chips li, .notice li), dd') || e.matches('.button'))
  .filter(e => !e.matches('.choice input, .skip'))
  .map(e => [e.getBoundingClientRect(), e])
  .filter(([r, e]) => r.width > 0 && (r.height < 43.9 || r.width < 43.9))
  .map(([r, e]) => `${r.width.toFixed(1)}x${r.height.toFixed(1)} ${e.outerHTML.slice(0, 90)}`)"""
WIDTH = "document.documentElement.scrollWidth"
OPEN_ALL = "document.querySelectorAll('details').forEach(d => d.open = true)"
AXE = Axe().axe_script
ONLY_COLOURS = {"resultTypes": ["violations"], "runOnly": ["color-contrast"]}


def faults_of_size(page: Page, width: int) -> list[str]:
    """What does not fit, cannot be read or cannot be touched at this width; everything folded is opened."""
    page.set_viewport_size({"width": width, "height": 800})
    page.evaluate(OPEN_ALL)
    found = [f"small text: {html}" for html in page.evaluate(SMALL_TEXT)]
    found += [f"small target: {html}" for html in page.evaluate(SMALL_TARGETS)]
    wide = page.evaluate(WIDTH)
    if wide > width:
        found.append(f"{wide} px wide")
    strong = page.locator("main .strong:visible").count()
    if strong > 1:
        found.append(f"{strong} strong buttons")
    return [f"{width} px: {fault}" for fault in found]


def faults_by_axe(page: Page, scheme: str, *, only_colours: bool = False) -> list[str]:
    """What axe finds with this colour scheme."""
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # no colour on its way to another
    options = ONLY_COLOURS if only_colours else {"resultTypes": ["violations"]}
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE)
    found = page.evaluate("options => axe.run(options)", options)["violations"]
    return [f"axe, {scheme}: {v['id']} {[n['html'][:120] for n in v['nodes']]}" for v in found]
