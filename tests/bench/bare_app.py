"""The yardstick: the least that a Textual program with an entry can be.

Its cursor does not blink, so that it is silent when idle and every frame that it sends is a key's.
"""

from textual.app import App, ComposeResult
from textual.widgets import Input

MARKER = "type here"


class BareApp(App[None]):
    """One line to type in."""

    def compose(self) -> ComposeResult:
        typed = Input(placeholder=MARKER)
        typed.cursor_blink = False
        yield typed


if __name__ == "__main__":
    BareApp().run()
