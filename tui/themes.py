"""The colours: dark, light, and none. Every state has a sign and a word too, so that none of them is needed."""

from textual.theme import Theme

DARK = Theme(
    name="siteworthy-dark", primary="#4f9d8f", secondary="#8fa9b8", accent="#d9a441", warning="#d9a441",
    error="#e07a6a", success="#7fb069", foreground="#e4e6e3", background="#15191c", surface="#1b2125", panel="#39444b",
    dark=True,
)  # fmt: skip
LIGHT = Theme(
    name="siteworthy-light", primary="#1d6f62", secondary="#48606e", accent="#8a5a00", warning="#8a5a00",
    error="#a5281b", success="#38702a", foreground="#1a1d1f", background="#f7f7f3", surface="#eeeeea", panel="#c4c8c4",
    dark=False,
)  # fmt: skip
PLAIN = Theme(
    name="siteworthy-plain", primary="#9a9a9a", secondary="#9a9a9a", accent="#d0d0d0", warning="#d0d0d0",
    error="#ffffff", success="#d0d0d0", foreground="#e6e6e6", background="#000000", surface="#101010", panel="#555555",
    dark=True,
)  # fmt: skip
ALL = (DARK, LIGHT, PLAIN)
