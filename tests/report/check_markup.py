"""Independent reading of the report's markup with Python's own parsers; prints what is wrong.

check_markup.py html FILE | svg FILE | pages FOLDER (report.html with its pages, links followed)
"""
import pathlib
import sys
import xml.etree.ElementTree as ElementTree
from html.parser import HTMLParser

VOID = {"meta", "br", "img", "hr", "link", "input"}


class Balance(HTMLParser):
    """Tags open and close in order; ids are unique; nothing is fetched and nothing runs."""

    def __init__(self, may_lead_on=False):
        super().__init__(convert_charrefs=True)
        self.open, self.ids, self.wrong, self.targets = [], set(), [], set()
        self.may_lead_on, self.others = may_lead_on, set()

    def handle_starttag(self, tag, attributes):
        self.look_at(tag, attributes)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.look_at(tag, attributes)

    def handle_endtag(self, tag):
        if not self.open or self.open[-1] != tag:
            self.wrong.append(f"</{tag}> closes {self.open[-3:]} at {self.getpos()}")
        else:
            self.open.pop()

    def look_at(self, tag, attributes):
        names = [name for name, _ in attributes]
        if len(names) != len(set(names)):
            self.wrong.append(f"<{tag}> repeats an attribute at {self.getpos()}")
        if tag in {"script", "iframe", "object", "link", "base", "form"}:
            self.wrong.append(f"<{tag}> at {self.getpos()}")
        for name, value in attributes:
            if name.startswith("on"):
                self.wrong.append(f"{name} on <{tag}> at {self.getpos()}")
            if name == "id":
                if value in self.ids:
                    self.wrong.append(f"id {value} twice")
                self.ids.add(value)
            if name in {"src", "href", "srcset", "data", "action"}:
                if value.startswith("#"):
                    self.targets.add(value[1:])
                elif tag == "a" and name == "href" and self.may_lead_on:
                    self.others.add(value)
                elif not value.startswith(("data:image/png;base64,", "data:image/jpeg;base64,")):
                    self.wrong.append(f"<{tag} {name}={value[:40]}>")


def parsed(path, may_lead_on=False):
    parser = Balance(may_lead_on)
    parser.feed(open(path, encoding="utf-8").read())
    parser.close()
    return parser


def check_html(path, parser=None):
    text = open(path, encoding="utf-8").read()
    parser = parser or parsed(path)
    wrong = parser.wrong + [f"unclosed {parser.open}"] * bool(parser.open)
    wrong += [f"link to nowhere: #{t}" for t in sorted(parser.targets - parser.ids)]
    without_names = text.replace('xmlns="http://www.w3.org/2000/svg"', "")
    if "http:" in without_names or "https:" in without_names or "url(" in without_names:
        wrong.append("an address to fetch from")
    return wrong


def check_pages(folder):
    """Every file is sound by itself, every link leads to a file and a place of the report, and every page is
    reached from report.html."""
    root = pathlib.Path(folder).resolve()
    files = {path: parsed(path, may_lead_on=True) for path in root.rglob("*.html")}
    wrong = [f"{path.name}: {what}" for path, parser in files.items() for what in check_html(path, parser)]
    reached, waiting = set(), [root / "report.html"]
    while waiting:
        path = waiting.pop()
        if path in reached:
            continue
        reached.add(path)
        for link in files[path].others:
            name, _, place = link.partition("#")
            target = (path.parent / name).resolve()
            if target not in files:
                wrong.append(f"{path.name}: link to nowhere: {link}")
            elif place and place not in files[target].ids:
                wrong.append(f"{path.name}: no such place: {link}")
            else:
                waiting.append(target)
    return wrong + [f"{path.name} is reached from nowhere" for path in sorted(set(files) - reached)]


def check_svg(path):
    root = ElementTree.parse(path).getroot()
    wrong = []
    if root.get("role") != "img" or not root.get("viewBox"):
        wrong.append("no role or viewBox")
    children = [child.tag.split("}")[1] for child in root][:2]
    if children != ["title", "desc"]:
        wrong.append(f"begins with {children}")
    if any(element.get("id") for element in root.iter()):
        wrong.append("an id, which a second drawing on the page would repeat")
    return wrong


print("\n".join({"html": check_html, "svg": check_svg, "pages": check_pages}[sys.argv[1]](sys.argv[2])), end="")
