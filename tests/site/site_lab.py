"""The course's site in a real browser that can reach nothing but this computer."""

import functools
import sys
import threading
from contextlib import contextmanager
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))
import lab  # noqa: E402

lab.RUN_SECONDS = 300  # the first time all of Python is fetched
RUN_CODE = """async code => {
    const future = castlabPanel.sessionContext.session.kernel.requestExecute({code});
    let printed = '';
    future.onIOPub = ({header, content}) => {
        if (header.msg_type === 'stream') printed += content.text;
        if (header.msg_type === 'error') printed += content.ename + ': ' + content.evalue;
    };
    await future.done;
    return printed;
}"""


class Files(SimpleHTTPRequestHandler):
    """Any web server: it hands out files, and notes how many bytes."""

    def log_message(self, *words):
        """Say nothing."""

    def end_headers(self):
        self.send_header("Access-Control-Allow-Origin", "*")  # for one that stands for the official address
        super().end_headers()


@contextmanager
def serving(folder):
    """A web server for a folder; its address."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Files, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()


class SiteNotebook(lab.Notebook):
    """A notebook of the site. `outside` are all other addresses that were asked for: nobody answers.

    While it refuses them, Playwright keeps the browser's cache out of use: each opening fetches all anew.
    """

    def __init__(self, browser, address, path, width=1366, height=900):
        self.outside = []
        self.page = browser.new_page()
        self.page.context.route(lambda url: not url.startswith(address), self._refuse)
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.set_default_timeout(1000 * lab.LOOK_SECONDS)
        self.page.goto(f"{address}/lab/index.html?path={path}")
        self.wait_until(lab.READY, path)

    def _refuse(self, route):
        self.outside.append(route.request.url)
        route.abort()

    def bench_with_sliders(self):
        """The first bench of the notebook."""
        outputs = self.page.locator(".jp-OutputArea-output").filter(has=self.page.locator("img.widget-image"))
        return lab.Bench(self, outputs.filter(has=self.page.locator(".noUi-handle")).first)

    def run_code(self, code):
        """What a piece of Python prints in the notebook's kernel."""
        return self.page.evaluate(RUN_CODE, code)
