"""Write pages to touch: `python -m castlab.teach.pages [folder] [--only lesson ...] [--inch]`.

Each page is written whole or not at all; Ctrl+C stops, and what was written stays.
"""

import argparse
import sys
from pathlib import Path

from castlab.teach.pages.page import compute, page_of
from castlab.teach.pages.touch_page import PAGES
from castlab.teach.work.kept_file import write_text
from castlab.teach.work.progress import Work
from castlab.units import INCH_POUND, METRIC

BAR = 30  # letters


def main(arguments=None):
    """Write the pages that are asked for; returns what the command ends with, 0 when all are written."""
    names = [page.name for page in PAGES]
    asked = argparse.ArgumentParser(prog="python -m castlab.teach.pages", description=__doc__.split("\n")[0])
    asked.add_argument("folder", nargs="?", default="pages", help="where to; made when it is missing")
    asked.add_argument("--only", nargs="+", choices=names, default=names, metavar="lesson",
                       help=f"some of: {', '.join(names)}")
    asked.add_argument("--inch", action="store_true", help="inch, pound and deg F")
    asked = asked.parse_args(arguments)
    try:
        for page in PAGES:
            if page.name in asked.only:
                write(page, Path(asked.folder), INCH_POUND if asked.inch else METRIC)
    except KeyboardInterrupt:
        print("\nStopped. Pages that were finished stay; of this one nothing was written.")
        return 130
    except OSError as error:
        print(f"\nNot written: {error}", file=sys.stderr)
        return 1
    return 0


def write(page, folder, units):
    """Compute a TouchPage in two processes, with a bar in the terminal, and write its file.

    Raises OSError where it cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    work = Work()

    def progress(done, of_all):
        print(f"\r{page.file} {bar(done, of_all)} {work.words:40}", end="", flush=True)

    bench = page.bench(units)
    whole = page_of(page, bench, compute(page, bench, work, progress))
    write_text(folder / page.file, whole)
    print(f"\n{folder / page.file}: {len(whole.encode()) / 1e6:.1f} MB, {work.words}")


def bar(done, of_all):
    """How far it is, for a terminal.

    >>> bar(1, 3)
    '[##########....................]'
    """
    length = BAR * done // of_all
    return f"[{'#' * length}{'.' * (BAR - length)}]"


if __name__ == "__main__":
    sys.exit(main())
