"""Text for the screens keeps its place in any room that a screen may have."""

import pytest
from textual.css.styles import Styles

from tui import paint


@pytest.mark.parametrize("width", [0, 1, 2, 3, 40])
@pytest.mark.parametrize("text", ["· name", "ａｂｃ wide", "a" * 90, ""])
def test_a_list_without_room_for_a_moment_ends_no_program(text: str, width: int) -> None:
    """A pane may have no column while the window changes its size."""
    for built in (12, 40):
        shown = paint.wrapped(built, (paint.hang(text, built, "· "), "dim"))
        assert shown.get_height(Styles(), width) >= 1
