"""Documents for the tests of reports, made by the program from invented sites and sheets, and poisoned copies."""

from datetime import date
from html.parser import HTMLParser
from typing import Any

from advisor import yamlfile
from advisor.advise import Advisor
from advisor.audit import Auditor
from advisor.document import AuditDocument, Explanation, Part, Requirement
from advisor.report.audited import AuditBuilder
from advisor.report.requirement import DocumentBuilder
from advisor.sheet import SheetReader
from advisor.site import read_site

ON = date(2026, 11, 25)
SITE = """
site: Invented filling head
about: Invented.
date: 2026-11-24
reference: R 12
place: {setting: indoor}
unit: {kind: sensor, largest_size: 65 mm, inside: closed, connection: connector, running_temperature: 60 degC}
wash:
  - {method: lance, pressure: 85 bar, flow: 15 L/min, temperature: 65 degC, distance: 200 mm, detergent: yes}
immersion: {kind: permanent, depth: 2 m}
air: {low: -12 degC, high: 50 degC, humidity: 95 %, coldest_surface: -12 degC}
dust: none
exposure:
  - {agent: caustic soda, strength: 2 %, temperature: 65 degC, duration: 30 min}
"""
SHEETS = {
    "Invented switch A": "IP67\nIP69K\nAmbient temperature: -25...+85 °C\nHousing: stainless steel 316L\nSeal: EPDM\n",
    "Invented switch B": "IP65\nOperating temperature 0 ... 50 °C\nHousing: polycarbonate\nquite splendid\n",
    "Invented switch C": "Invented, silent on everything\n",
}
HOSTILE = [
    "<script>alert(1)</script>", "\"><img src=x onerror=alert(1)>", "' onload='alert(1)", "</style></title><b>", "[/b]",
    "</details></li></ul>", "<!-- ", "-->", "]]>", "{{ 7 * 7 }}{% raw %}", "&lt;b&gt; &amp; &#60;", "a | b || c",
    "``` `x` ``", "`", "\\", "\\|", "*a* **b** _c_ __d__ ~~e~~", "[x](https://evil.example/)",
    "![x](https://evil.example/a.png)", "<https://evil.example/>", "https://evil.example/", "www.evil.example",
    "somebody@evil.example", "@somebody", "mailto:a@evil.example", "[x]: https://evil.example/", "[^1]: note", "# head",
    "- item", "+ item", "* item", "1. item", "2) item", "> quote", "---", "===", "| --- |", "    code", "- [ ] task",
    "a\n\n# b", "a\r\n- b", "a\x07\x1b[31mb\x00", "\u202egnp.exe\u2066", "$x$ $$y$$", ":---:", "<details>", "&",
    "!", "<", "javascript:alert(1)", "=1+1", "a\\\n", "::", "#1", "~~~", "\ufeffx", "a\u2028b",
]  # fmt: skip
"""Texts that try to be more than text in HTML, in Markdown, on a terminal or in the direction of the line."""
_FIXED = ("schema", "state", "holds", "finding", "verdict")


def requirement(advisor: Advisor) -> Requirement:
    """The requirement of the sample site."""
    return _builder(advisor).requirement()


def explanation(advisor: Advisor, topic: str, item: str) -> Explanation:
    """Why a code is demanded at the sample site, or why not."""
    return _builder(advisor).explanation(advisor.book.vocabulary.topics[topic], item)


def audit(advisor: Advisor) -> AuditDocument:
    """The sample sheets against the sample site."""
    builder = _builder(advisor)
    auditor, reader = Auditor(builder.advice, advisor.book), SheetReader(advisor.book)
    audits = [auditor.audit(reader.from_text(text, name, f"{name}.txt")) for name, text in SHEETS.items()]
    return AuditBuilder(builder, advisor).document(audits)


def _builder(advisor: Advisor) -> DocumentBuilder:
    return DocumentBuilder(advisor.advise(read_site(yamlfile.parse(SITE, "site.yaml"), advisor.book)), advisor)


def with_text(document: Part, text: str) -> Any:
    """Return the document with its lists cut short, every text in it and every name of an answer replaced."""
    data = _replaced(document.model_dump(by_alias=True), text)
    data["rulebook"]["waived"] = {"lifted-rule": text}
    data["site"]["answers"] = {"place": {text: text}, text: [text, {"slot": text}]}
    return type(document).model_validate(data)


def _replaced(value: Any, text: str, depth: int = 0) -> Any:
    if isinstance(value, dict):
        return {key: entry if key in _FIXED else _replaced(entry, text, depth + 1) for key, entry in value.items()}
    if isinstance(value, list):
        return [_replaced(entry, text, depth + 1) for entry in value[: 2 if depth < 8 else 1]]
    return text if isinstance(value, str) else value


class Page(HTMLParser):
    """A page taken apart: `outline` is every tag with its fixed attributes, `text` what a reader sees."""

    VOID = ("meta", "br", "hr", "img", "input", "link")

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.outline: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.outline.append(f"<{tag} {' '.join(sorted(name for name, _ in attrs))}>")
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.outline.append(f"<{tag}/>")
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag, f"</{tag}> closes another element"
        self.outline.append(f"</{tag}>")

    def handle_comment(self, data: str) -> None:
        self.outline.append("<!-- -->")

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        """All text, blanks joined."""
        return " ".join("".join(self.words).split())

    def values(self, name: str, tag: str = "") -> list[str]:
        """Return the values of an attribute."""
        return [value for of, attribute, value in self.attributes if attribute == name and tag in ("", of)]
