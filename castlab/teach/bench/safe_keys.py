"""Keys pressed in a widget never reach the notebook: no answer moves to another cell, or deletes one."""

from pathlib import Path

_SafeKeys = None


def safe_keys():
    """Something without looks that guards all widgets of the page it stands on."""
    global _SafeKeys
    if _SafeKeys is None:
        import anywidget  # made when it is first needed, as the film is

        class SafeKeys(anywidget.AnyWidget):
            _esm = Path(__file__).with_name("safe_keys.js")

        _SafeKeys = SafeKeys
    return _SafeKeys()
