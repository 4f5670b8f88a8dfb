"""Three looks: black on paper, paper on black, and the plainest black on white for the sun."""

from __future__ import annotations

from textual.theme import Theme

_COMMON = {
    "footer-background": "transparent",
    "input-cursor-text-style": "none",
}


def _look(name: str, *, ink: str, ground: str, shade: str, quiet: str, accent: str, dark: bool) -> Theme:
    return Theme(
        name=name,
        primary=accent,
        secondary=ink,
        accent=accent,
        warning=accent,
        error=accent,
        success=ink,
        foreground=ink,
        background=ground,
        surface=ground,
        panel=shade,
        boost=shade,
        dark=dark,
        text_alpha=1.0,
        variables={
            **_COMMON,
            "quiet": quiet,
            "shade": shade,
            "block-cursor-background": shade,
            "block-cursor-foreground": ink,
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-background": ground,
            "block-cursor-blurred-foreground": ink,
            "block-cursor-blurred-text-style": "none",
            "block-hover-background": ground,
            "input-cursor-background": ink,
            "input-cursor-foreground": ground,
            "input-selection-background": shade,
            "input-selection-foreground": ink,
            "scrollbar": shade,
            "scrollbar-hover": quiet,
            "scrollbar-active": quiet,
            "scrollbar-background": ground,
            "scrollbar-background-hover": ground,
            "scrollbar-background-active": ground,
            "scrollbar-corner-color": ground,
        },
    )


LOOKS = (
    _look("paper", ink="#1c1a15", ground="#f7f2e6", shade="#e8dfc8", quiet="#5e5646", accent="#a83a12", dark=False),
    _look("night", ink="#f2ecdd", ground="#12110e", shade="#2f2b22", quiet="#b5ab95", accent="#ffb454", dark=True),
    _look("sun", ink="#000000", ground="#ffffff", shade="#d6d6d6", quiet="#000000", accent="#9c0000", dark=False),
)


def next_look(name: str) -> str:
    """The look that follows in the round."""
    names = [look.name for look in LOOKS]
    return names[(names.index(name) + 1) % len(names)] if name in names else names[0]
