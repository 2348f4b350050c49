"""What can be searched on the main screen: every question of every subject, and every line of the sheet."""

from tui import outline
from tui.live import Sheet
from tui.outline import Option
from tui.walk import Walk

_ROW, _ASK = "row ", "ask "


def options(walk: Walk, sheet: Sheet | None) -> list[Option]:
    """Return all questions with their present answers, and all lines of the sheet."""
    found = []
    data = walk.session.data
    for subject in walk.subjects:
        for asked in outline.questions(subject, walk.site, data, walk.book):
            words = " ".join([asked.slot, asked.help, *(option.words for option in asked.options)])
            answer = f"{subject.title}: {asked.shown or ('not told' if asked.open else 'empty')}"
            found.append(Option(f"{_ASK}{asked.template}|{asked.index}|{asked.slot}", f"? {asked.ask}", answer, words))
    for row in sheet.rows if sheet else ():
        label = f"{row.title}: {row.text}" if row.title else row.text
        about = f"{row.section}{f', {row.state}' if row.state else ''}"
        found.append(Option(_ROW + row.key, label, about, f"{row.topic} {row.why}"))
    return found


def question(found: str) -> tuple[str, int, str] | None:
    """Return the place of a question that was found; None if it was a line of the sheet."""
    if not found.startswith(_ASK):
        return None
    template, index, slot = found.removeprefix(_ASK).split("|")
    return template, int(index), slot


def row(found: str) -> str:
    """Return the key of the line of the sheet that was found."""
    return found.removeprefix(_ROW)
