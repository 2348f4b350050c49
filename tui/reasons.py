"""The screen of reasons: a tree down to value, threshold, formula and clause, and the highlighted line in full."""

from collections.abc import Callable

from rich.style import Style
from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static, Tree
from textual.widgets.tree import TreeNode

from advisor.faults import InputError
from advisor.interview import OpenQuestion
from tui import branches, paint
from tui.branches import Branch
from tui.hints import Hints
from tui.walk import said

Build = Callable[[], tuple[Branch, ...]]


class BranchTree(Tree[Branch]):
    """A tree whose lines end with the window; the pane below has them in full."""

    def render_label(self, node: TreeNode[Branch], base_style: Style, style: Style) -> Text:
        label = super().render_label(node, base_style, style)
        depth, above = 0, node.parent
        while above is not None:
            depth, above = depth + 1, above.parent
        label.truncate(max(20, self.size.width - 3 - depth * self.guide_depth), overflow="ellipsis")
        return label


def _built(build: Build) -> tuple[Branch, ...]:
    try:
        return build()
    except InputError as problem:
        return (Branch(said(problem)),)


class Reasons(Screen[OpenQuestion | None]):
    """Shows the branches that `build` returns; it is called beside the screen. Returns the question to go to."""

    DEFAULT_CSS = """
    Reasons #title { height: 1; background: $primary 25%; padding: 0 1; text-style: bold; }
    Reasons #title { text-wrap: nowrap; text-overflow: ellipsis; }
    Reasons Tree { height: 1fr; padding: 0 0 0 1; background: transparent; scrollbar-size-vertical: 1; }
    Reasons Tree { scrollbar-size-horizontal: 0; }
    Reasons #full { height: auto; max-height: 45%; border-top: solid $panel; padding: 0 1; }
    Reasons #full Static { height: auto; }
    """
    BINDINGS = [
        Binding("escape,q", "dismiss(None)", "Back"),
        Binding("c", "copy", "Copy all"),
        Binding("d", "drop", "What would drop it"),
        Binding("x", "unfold", "Unfold all"),
        Binding("right", "open_branch", "Unfold", show=False),
        Binding("left", "close_branch", "Fold", show=False),
    ]

    def __init__(self, title: str, build: Build, drop: Build | None = None) -> None:
        """`drop` finds what would drop the demand, where that can be asked."""
        super().__init__()
        self.heading, self._build, self._drop = title, build, drop
        self.branches: tuple[Branch, ...] = ()
        self._all_open = False

    def compose(self) -> ComposeResult:
        yield Static(id="title", markup=False)
        yield BranchTree(Text("looking up the reasons …"), id="tree")
        with VerticalScroll(id="full", can_focus=False):
            yield Static(id="text", markup=False)
        yield Hints()

    def on_mount(self) -> None:
        self.query_one("#title", Static).update(paint.plain(self.heading))
        self.branch_tree.show_root = True
        self.branch_tree.guide_depth = 3
        self.branch_tree.focus()
        self.look_up()

    @property
    def branch_tree(self) -> BranchTree:
        return self.query_one(BranchTree)

    @work(thread=True, exclusive=True, exit_on_error=False)
    def look_up(self) -> None:
        """Have the reasons made beside the screen."""
        found = _built(self._build)
        self.app.call_from_thread(self.show, found)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return action != "drop" or self._drop is not None

    @work(thread=True, exclusive=True, group="drop", exit_on_error=False)
    def action_drop(self) -> None:
        """Have it looked for what would drop the demand, and put that first."""
        drop, self._drop = self._drop, None
        if drop is None:
            return
        self.app.call_from_thread(self.notify, "Looking for changes that would drop it …", timeout=2)
        found = _built(drop)
        self.app.call_from_thread(self.show, (*found, *self.branches))
        self.app.call_from_thread(self.refresh_bindings)

    def show(self, found: tuple[Branch, ...]) -> None:
        """Show the branches."""
        if not self.is_attached:
            return
        self.branches = found
        tree = self.branch_tree
        tree.clear()
        tree.show_root = False
        for branch in found:
            self._hang(tree.root, branch)
        tree.root.expand()
        if tree.root.children:
            tree.move_cursor(tree.root.children[0])
            self._in_full(tree.root.children[0].data)

    def _hang(self, node: TreeNode[Branch], branch: Branch) -> None:
        if not branch.under:
            node.add_leaf(paint.label(branch.label), branch)
            return
        own = node.add(paint.label(branch.label), branch, expand=branch.opened)
        for inner in branch.under:
            self._hang(own, inner)

    def on_tree_node_highlighted(self, event: Tree.NodeHighlighted[Branch]) -> None:
        self._in_full(event.node.data)

    def _in_full(self, branch: Branch | None) -> None:
        if branch is None:
            return
        text = branch.full or branch.label
        bar = paint.margin(branch.condition) if branch.condition else ""
        if bar:
            text += f"\n{bar}  | is the threshold ({branch.condition.test if branch.condition else ''})"
        self.query_one("#text", Static).update(paint.plain_lines(text))
        self.query_one("#full").scroll_home(animate=False)

    def on_tree_node_selected(self, event: Tree.NodeSelected[Branch]) -> None:
        if event.node.data is not None and event.node.data.question is not None:
            self.dismiss(event.node.data.question)

    def action_open_branch(self) -> None:
        """Unfold the highlighted branch."""
        node = self.branch_tree.cursor_node
        if node is not None and node.allow_expand:
            node.expand()

    def action_close_branch(self) -> None:
        """Fold the highlighted branch, or go to the one it hangs under."""
        node = self.branch_tree.cursor_node
        if node is None:
            return
        if node.allow_expand and node.is_expanded:
            node.collapse()
        elif node.parent is not None and not node.parent.is_root:
            self.branch_tree.move_cursor(node.parent)

    def action_unfold(self) -> None:
        """Unfold everything, or fold it again to the first level."""
        self._all_open = not self._all_open
        for node in self.branch_tree.root.children:
            if self._all_open:
                node.expand_all()
            else:
                node.collapse_all()
                node.expand()

    def action_copy(self) -> None:
        """Copy all reasons as indented text."""
        self.app.copy_to_clipboard("\n".join(branches.lines(self.branches)))
        self.notify("Copied.")
