"""Every action by name, key and a line of what it does, for the palette and the help screen."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Command:
    """One action of the main screen."""

    action: str
    """The action as Textual names it, with its arguments."""
    key: str
    title: str
    about: str


COMMANDS = (
    Command("pane('left')", "F2", "Subjects", "Go to the list of subjects"),
    Command("pane('middle')", "F3", "Question", "Go to the question"),
    Command("pane('right')", "F4", "Requirement sheet", "Go to the live requirement sheet"),
    Command("unknown", "?", "Answer unknown", "The present question is not known; it stays open and binds"),
    Command("take_back", "Delete", "Take the answer back", "Nothing is told of the present question any more"),
    Command("most_useful", "F6", "Best next question", "Go to the question that decides the most open demands"),
    Command("step(-1)", "F7", "Question before", "Go one question back, answered or not"),
    Command("step(1)", "F8", "Question after", "Go one question on without an answer"),
    Command("add", "a", "Add an entry", "One more of this subject, such as a second way of cleaning"),
    Command("remove", "d", "Remove this entry", "Take the entry away with all its answers"),
    Command("deny", "n", "None here", "There is nothing of this subject at the point"),
    Command("undo", "Ctrl+Z", "Undo", "Take the last change back"),
    Command("redo", "Ctrl+Y", "Redo", "Make a change again that was undone"),
    Command("reasons", "Enter", "Reasons", "Why the highlighted line of the sheet is demanded, down to the clause"),
    Command("why_not", "w", "Why, or why not", "Why something is demanded here, or which condition keeps it away"),
    Command("search", "Ctrl+F", "Search", "Find a question, a demand or a note by its words"),
    Command("copy_row", "c", "Copy line", "Copy the highlighted line of the sheet to the clipboard"),
    Command("copy_sheet", "", "Copy the sheet", "Copy the whole requirement sheet as text"),
    Command("all_notes", "o", "All notes", "Show every note of the sheet, or only those that are certain"),
    Command("audit", "F5", "Audit spec sheets", "Hold spec sheets or a catalogue against this point"),
    Command("map", "F9", "Map of two answers", "Which demands hold where, over two answers that are figures"),
    Command("save", "Ctrl+S", "Save", "Save the site file; comments and spelling stay yours"),
    Command("save_as", "", "Save as", "Save under another name"),
    Command("open", "Ctrl+O", "Open", "Open another site, or one of those last opened"),
    Command("new", "Ctrl+N", "New point", "Begin with an empty site"),
    Command("export", "Ctrl+R", "Export report", "Write the requirement sheet as text, Markdown, HTML or JSON"),
    Command("app.theme", "Ctrl+T", "Colours", "Change between dark, light and no colours"),
    Command("app.cautions", "", "Cautions", "What this tool does not do"),
    Command("app.help", "F1", "Help", "Keys, signs, and how answers are written"),
    Command("app.leave", "Ctrl+Q", "Quit", "Leave; what is not saved is kept for the next start"),
)
