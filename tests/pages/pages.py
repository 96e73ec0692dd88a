"""Looks at pages of etabench in a real browser, on paper and with tidy.

    pages.py SCRATCH AXE PAGE...

AXE is the path of axe.min.js, or empty. For each page:

- no message of the browser's console at phone, desktop and print size, light and dark
- no horizontal scroll at 360 px; wide tables scroll in their own box
- every picture is drawn, has a size, a text alternative, and in the report a title
- the report's contents lead to headings of the page
- axe-core finds nothing serious or critical, light and dark
- printed on A4 and Letter: "page N of M" on every page of a report, no sheet all but empty, a figure's
  picture and caption on one sheet; a projector page and the blank table of points are one sheet
- HTML Tidy has neither error nor warning

A check that lacks its tool is named as skipped; a page that lacks a figure where one was drawn, or a
run without any page, is a failure.
"""

import base64
import html.parser
import os
import re
import shutil
import subprocess
import sys

FLAGS = """--headless --no-sandbox --disable-gpu --disable-quic --no-first-run
--disable-background-networking --disable-component-update --disable-sync
--disable-dev-shm-usage --hide-scrollbars --force-device-scale-factor=1""".split()
PAPERS = {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}
BLANK = ("blank/points.html",)  # without pictures
SIZES = {"phone": (360, 740), "desktop": (1280, 800)}

failures = []
checks = 0


def check(ok, page, words):
    global checks
    checks += 1
    if not ok:
        failures.append(f"{page}: {words}")


def skip(what, why):
    print(f"skipped: {what} ({why})")


def start_browser(scratch):
    """The driver of Debian's browser, or None with a word why."""
    browser, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if not browser or not driver:
        skip("browser, paper and axe", "no chromium or no chromedriver")
        return None
    try:
        from selenium import webdriver
        from selenium.webdriver.chrome.service import Service
    except ImportError:
        skip("browser, paper and axe", "no python3-selenium")
        return None
    options = webdriver.ChromeOptions()
    options.binary_location = browser
    for flag in FLAGS + [f"--user-data-dir={scratch}/profile"]:
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    return webdriver.Chrome(service=Service(driver), options=options)


def show(driver, path, width, height, dark):
    """Opens the page at the size of a screen, light or dark."""
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
        "width": width, "height": height, "deviceScaleFactor": 1, "mobile": False})
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [
        {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}]})
    driver.get("file://" + os.path.abspath(path))


def console(driver, page, when):
    for entry in driver.get_log("browser"):
        check(False, page, f"console, {when}: {entry['message']}")
    check(True, page, "console read")


def look(driver, path, page):
    for name, (width, height) in SIZES.items():
        for dark in (False, True):
            show(driver, path, width, height, dark)
            console(driver, page, name)
            scroll = driver.execute_script("return document.documentElement.scrollWidth")
            check(scroll <= width, page, f"{name}: {scroll} px wide on a screen of {width}")
    look_at_pictures(driver, page)
    look_at_contents(driver, page)


def look_at_pictures(driver, page):
    pictures = driver.execute_script("""
        return Array.from(document.images, function (i) {
            const figure = i.closest('figure');
            const title = figure && figure.querySelector('figcaption b');
            return {alt: i.alt, width: i.getAttribute('width'), height: i.getAttribute('height'),
                    drawn: i.complete && i.naturalWidth > 0, shown: i.clientWidth * i.clientHeight,
                    title: title ? title.textContent : ''};
        })""")
    check(pictures or page in BLANK, page, "holds no picture")
    for n, picture in enumerate(pictures):
        check(picture["drawn"] and picture["shown"] > 0, page, f"picture {n} is not drawn")
        check(picture["width"] and picture["height"], page, f"picture {n} has no size")
        check(len(picture["alt"]) > 20, page, f"picture {n} has no text alternative")
        check(picture["title"] or page.endswith("projector.html"), page, f"picture {n}: no title")


def look_at_contents(driver, page):
    lost = driver.execute_script("""
        return Array.from(document.querySelectorAll('nav a'), a => a.getAttribute('href'))
            .filter(h => !document.querySelector('h2' + h))""")
    check(not lost, page, f"contents lead nowhere: {lost}")


def ask_axe(driver, path, page, axe):
    for dark in (False, True):
        show(driver, path, 1280, 800, dark)
        driver.execute_script(axe)
        found = driver.execute_async_script(
            "const done = arguments[0]; axe.run(document).then(r => done({bad: r.violations,"
            " passed: r.passes.length}), e => done({bad: [], passed: 0}))")
        check(found["passed"] > 10, page, "axe did not run")
        for rule in found["bad"]:
            if rule["impact"] in ("serious", "critical"):
                where = ", ".join(node["html"][:100] for node in rule["nodes"][:3])
                check(False, page, f"axe, {'dark' if dark else 'light'}: {rule['help']}: {where}")


def print_page(driver, path, page, scratch):
    """Prints on both papers; the page has its own margins. The light scheme is forced for paper."""
    for paper, (width, height) in PAPERS.items():
        show(driver, path, 1280, 800, False)
        answer = driver.execute_cdp_cmd("Page.printToPDF", {
            "paperWidth": width, "paperHeight": height, "preferCSSPageSize": False,
            "printBackground": True})
        console(driver, page, paper)
        name = os.path.join(scratch, "page.pdf")
        with open(name, "wb") as file:
            file.write(base64.b64decode(answer["data"]))
        look_at_paper(driver, name, page, paper)


def look_at_paper(driver, name, page, paper):
    if not shutil.which("pdftotext"):
        skip(f"{page} on {paper}", "no pdftotext")
        return
    said = subprocess.run(["pdftotext", "-layout", name, "-"], capture_output=True, text=True,
                          check=True).stdout
    sheets = said.split("\f")[:-1]
    report = page.endswith("report.html")
    for n, sheet in enumerate(sheets, 1):
        numbered = re.search(rf"page\s+{n}\s+of\s+{len(sheets)}\b", sheet)
        check(numbered or not report, page, f"{paper}: sheet {n} of {len(sheets)} has no number")
        check(len(sheet.split()) > 15, page, f"{paper}: sheet {n} is all but empty")
    if not report:
        check(len(sheets) == 1, page, f"{paper}: {len(sheets)} sheets, not one")
    titles = driver.execute_script(
        "return Array.from(document.querySelectorAll('figcaption b'), b => b.textContent)")
    figures_whole(name, page, paper, titles, sheets)


def figures_whole(name, page, paper, titles, sheets):
    """A figure's picture and its title below it stand on the same sheet.

    A picture is vector drawing whose text starts with its title; the caption repeats it. So each
    title stands twice on its sheet, and as often on no other.
    """
    flat = [" ".join(sheet.split()) for sheet in sheets]
    for title in titles:
        words = " ".join(title.split()[:4])
        counts = [sheet.count(words) for sheet in flat]
        check(max(counts) >= 2, page, f"{paper}: figure '{title}' is parted from its caption")


class Void(html.parser.HTMLParser):
    """Counts what must not be there at all."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        if tag in ("script", "link", "iframe", "object", "embed", "form", "base"):
            self.found.append(tag)
        for name, value in attrs:
            outside = name in ("src", "href") and not re.match("data:|#", value or "")
            if name.startswith("on") or outside:
                self.found.append(f"{name}={value}")


def read_source(path, page):
    with open(path, encoding="utf-8") as file:
        reader = Void()
        reader.feed(file.read())
    check(not reader.found, page, f"holds {reader.found}")
    if not shutil.which("tidy"):
        skip(f"{page} under tidy", "no tidy")
        return
    tidy = subprocess.run(["tidy", "-q", "-e", "-utf8", path], capture_output=True, text=True)
    check(tidy.returncode == 0, page, "tidy: " + tidy.stderr.strip()[:300])


def main():
    scratch, axe_path, paths = sys.argv[1], sys.argv[2], sys.argv[3:]
    axe = ""
    if axe_path:
        with open(axe_path, encoding="utf-8") as file:
            axe = file.read()
    driver = start_browser(scratch)
    for path in paths:
        page = os.path.relpath(path)
        read_source(path, page)
        if not driver:
            continue
        look(driver, path, page)
        if axe:
            ask_axe(driver, path, page, axe)
        print_page(driver, path, page, scratch)
    if driver:
        driver.quit()
    for failure in failures:
        print(failure)
    print(f"pages: {len(paths)} pages, {checks} checks, {len(failures)} failed")
    return 0 if checks >= len(paths) > 5 and not failures else 1


sys.exit(main())
