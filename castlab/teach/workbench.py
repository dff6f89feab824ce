"""Where copies of the page made before the rooms look for it: `castlab.teach.before_the_pour`."""

from castlab.teach.before_the_pour import Workbench

__all__ = ["Workbench"]
