"""Write the course as a site: `python -m castlab.teach.site OUT --kernel FOLDER`.

Any web server can serve it; nothing of it is computed there. What it needs is in `requirements.txt` beside
this file.
"""

import argparse
import sys
from pathlib import Path

from castlab.errors import InputError
from castlab.teach.site.build import FOLDERS, write_site
from castlab.teach.site.distribution import distribution_in


def main(arguments=None):
    """Write the site that is asked for; returns what the command ends with, 0 when it is written."""
    asked = argparse.ArgumentParser(prog="python -m castlab.teach.site", description=__doc__.split("\n")[0])
    asked.add_argument("out", help="the folder of the site; it must not be there yet, or be empty")
    asked.add_argument("--kernel", required=True, metavar="FOLDER",
                       help="an unpacked release of Pyodide 0.27")
    asked.add_argument("--official", action="store_true",
                       help="let browsers load numpy and the like from Pyodide's own address")
    asked.add_argument("--only", nargs="+", choices=FOLDERS, default=FOLDERS, metavar="part",
                       help=f"some of: {', '.join(FOLDERS)}")
    asked = asked.parse_args(arguments)
    out = Path(asked.out)
    try:
        if out.exists() and any(out.iterdir()):
            raise InputError("the folder of the site", asked.out, "it must be empty, or not be there yet")
        distribution = distribution_in(asked.kernel)
        write_site(out, distribution, distribution.official if asked.official else None, asked.only)
    except (InputError, OSError) as error:
        print(f"Not written: {error}", file=sys.stderr)
        return 1
    size = sum(path.stat().st_size for path in out.rglob("*") if path.is_file())
    print(f"{out}: {size / 1e6:.0f} MB. To look at it here: python3 -m http.server --directory {out}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
