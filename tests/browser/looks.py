"""What is measured on a page as it stands: axe's rules, targets, sideways scrolling, motion."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.base import AXE_FILE_PATH
from playwright.sync_api import Page

# WCAG 2.0, 2.1 and 2.2, levels A and AA, by the names that axe gives them.
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]

_RUN = """async (rules) => {
  const found = await axe.run(document, {
    runOnly: rules, resultTypes: ["violations"], iframes: false, elementRef: false,
  });
  return found.violations.flatMap((broken) => broken.nodes.map((node) =>
    `${broken.id}: ${node.target.join(" ")}: ${node.failureSummary.replace(/\\s+/g, " ")}`));
}"""

# A target is what takes the finger: a label with its box, a card whose link is spread over it, a
# link or button with its own box. Left out as WCAG leaves them out: links inside a sentence, and
# what is not to be seen.
_SMALL = """([root, least]) => {
  const shown = (element) => element.checkVisibility({ opacityProperty: false })
    && !element.closest(".unseen, .skip, [aria-hidden=true]");
  const inSentence = (element) => element.matches("a")
    && getComputedStyle(element).display === "inline"
    && Array.from(element.parentNode.childNodes).some((node) =>
      node.nodeType === 3 && node.textContent.trim());
  const kinds = 'a[href], button, summary, select, textarea, input:not([type="hidden"])';
  return Array.from(document.querySelectorAll(kinds))
    .filter((element) => element.closest(root) && shown(element) && !inSentence(element))
    .flatMap((element) => {
      const spread = getComputedStyle(element, "::after");
      const over = spread.content !== "none" && spread.position === "absolute";
      const whole = (over && element.offsetParent) || element;
      const boxes = [whole, ...(element.labels ?? [])].map((one) => one.getBoundingClientRect());
      const ticked = element.matches('[type="radio"], [type="checkbox"]');
      const used = ticked ? boxes : boxes.slice(0, 1);
      const width = Math.max(...used.map((box) => box.width));
      const height = Math.max(...used.map((box) => box.height));
      if (width + 0.5 >= least && height + 0.5 >= least) return [];
      const said = (element.textContent || element.name || "").replace(/\\s+/g, " ").trim();
      return [`${element.tagName.toLowerCase()} “${said.slice(0, 40)}” `
        + `${width.toFixed(0)} x ${height.toFixed(0)}, at least ${least}`];
    });
}"""

_SIDEWAYS = """() => {
  const page = document.scrollingElement;
  if (page.scrollWidth <= page.clientWidth) return [];
  const wide = Array.from(document.querySelectorAll("body *"))
    .filter((element) => element.getBoundingClientRect().right > page.clientWidth + 1)
    .slice(0, 3).map((element) => `${element.tagName.toLowerCase()}.${element.className}`);
  return [`scrolls sideways: ${page.scrollWidth} in ${page.clientWidth} (${wide.join(", ")})`];
}"""

_MOVING = """() => Array.from(document.querySelectorAll("*")).filter((element) => {
  const style = getComputedStyle(element);
  const seconds = `${style.transitionDuration},${style.animationDuration}`.split(",")
    .map((text) => parseFloat(text) * (text.includes("ms") ? 0.001 : 1));
  return Math.max(...seconds) > 0.01;
}).slice(0, 3).map((element) => `moves: ${element.tagName.toLowerCase()}.${element.className}`)"""


def bring_axe(page: Page) -> None:
    """Once for each page that is loaded; the page's own policy does not see it."""
    page.evaluate(AXE_FILE_PATH.read_text(encoding="utf-8"))


def broken_rules(page: Page, *rules: str) -> list[str]:
    """What axe finds, by all its rules for WCAG 2.2 AA or only by these."""
    chosen: dict[str, Any] = {"type": "rule", "values": list(rules)}
    found: list[str] = page.evaluate(_RUN, chosen if rules else {"type": "tag", "values": TAGS})
    return found


def small_targets(page: Page, root: str, least: int) -> list[str]:
    """Targets inside `root` that are narrower or lower than `least` CSS pixels."""
    found: list[str] = page.evaluate(_SMALL, [root, least])
    return found


def sideways(page: Page) -> list[str]:
    found: list[str] = page.evaluate(_SIDEWAYS)
    return found


def moving(page: Page) -> list[str]:
    """What still moves though the person asked for stillness."""
    found: list[str] = page.evaluate(_MOVING)
    return found
