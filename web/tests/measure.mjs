// What a page may not be: too small for the eye or the finger, wider than the window.

/** What is too small for the eye or the finger, and what sticks out of the page. */
export async function measure(page) {
  return page.evaluate(() => {
    const wrong = [];
    const shown = (element) => element.checkVisibility({ opacityProperty: true, visibilityProperty: true }) && !element.closest('.unseen, [aria-hidden=true]');
    for (const element of document.querySelectorAll('body *')) {
      const own = [...element.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.textContent.trim());
      if (own && shown(element) && parseFloat(getComputedStyle(element).fontSize) < 16) wrong.push(`small letters: ${element.outerHTML.slice(0, 90)}`);
    }
    for (const element of document.querySelectorAll('button, a, summary, label, textarea, input[type=text], [role=separator]')) {
      if (!shown(element)) continue;
      const { width, height } = element.getBoundingClientRect();
      if (width < 43.9 || height < 43.9) wrong.push(`small for a finger, ${width} x ${height}: ${element.outerHTML.slice(0, 90)}`);
    }
    const over = document.documentElement.scrollWidth - document.documentElement.clientWidth;
    if (over > 0) wrong.push(`${over} pixels wider than the window`);
    return wrong;
  });
}
