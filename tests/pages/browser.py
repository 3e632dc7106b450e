# SPDX-License-Identifier: GPL-3.0-or-later
"""A browser without a window, driven by chromedriver: pages read, pictured and printed.

The protocol is W3C WebDriver, spoken with the standard library; what it lacks (paper, light and
dark, sizes of small screens, the list of requests) goes through the browser's own commands.
"""

import base64
import json
import pathlib
import shutil
import socket
import subprocess
import tempfile
import time
import urllib.error
import urllib.request

ARGUMENTS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--hide-scrollbars",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--disable-dev-shm-usage", "--force-device-scale-factor=1", "--lang=en",
]

# inches
PAPERS = {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}

START_SECONDS = 30.0
ANSWER_SECONDS = 120.0


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Browser:
    """One browser with a profile of its own, gone with it."""

    def __enter__(self):
        self.profile = tempfile.mkdtemp(prefix="pages-")
        self.port = free_port()
        self.driver = subprocess.Popen(["chromedriver", f"--port={self.port}"],
                                       stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        self.session = None
        try:
            self.session = self._begin()
        except BaseException:
            self.__exit__()
            raise
        return self

    def __exit__(self, *_):
        try:
            if self.session:
                self._call("DELETE", f"/session/{self.session}")
        finally:
            self.driver.terminate()
            self.driver.wait()
            shutil.rmtree(self.profile, ignore_errors=True)

    def _begin(self):
        options = {"args": ARGUMENTS + [f"--user-data-dir={self.profile}"]}
        wanted = {"goog:chromeOptions": options, "goog:loggingPrefs": {"performance": "ALL"}}
        body = {"capabilities": {"alwaysMatch": wanted}}
        until = time.monotonic() + START_SECONDS
        while True:
            try:
                return self._call("POST", "/session", body)["sessionId"]
            except (ConnectionError, urllib.error.URLError) as fault:
                if isinstance(fault, urllib.error.HTTPError) or time.monotonic() > until:
                    raise
                time.sleep(0.05)

    def _call(self, method, path, body=None):
        data = json.dumps(body).encode() if body is not None else None
        request = urllib.request.Request(f"http://127.0.0.1:{self.port}{path}", data, method=method)
        with urllib.request.urlopen(request, timeout=ANSWER_SECONDS) as answer:
            return json.load(answer)["value"]

    def _command(self, path, body):
        return self._call("POST", f"/session/{self.session}{path}", body)

    def tell(self, command, **params):
        """One command of the browser itself."""
        return self._command("/goog/cdp/execute", {"cmd": command, "params": params})

    def script(self, text, *arguments):
        """The value that `text`, a function's body, returns in the page."""
        return self._command("/execute/sync", {"script": text, "args": list(arguments)})

    def screen(self, width, height=900, dark=False):
        self.tell("Emulation.setDeviceMetricsOverride", width=width, height=height,
                  deviceScaleFactor=1, mobile=width < 600)
        self.tell("Emulation.setEmulatedMedia",
                  features=[{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}])

    def open(self, path):
        self._command("/url", {"url": pathlib.Path(path).resolve().as_uri()})

    def requests(self):
        """Addresses that pages from files asked for since the last call, their own included."""
        log = self._command("/se/log", {"type": "performance"})
        messages = [json.loads(entry["message"])["message"] for entry in log]
        sent = [m["params"] for m in messages if m["method"] == "Network.requestWillBeSent"]
        return [s["request"]["url"] for s in sent if s["documentURL"].startswith("file:")]

    def picture(self, path, width, dark=False):
        """The whole page as a PNG file, as wide as the screen."""
        self.screen(width, dark=dark)
        height = self.script("return document.documentElement.scrollHeight")
        clip = {"x": 0, "y": 0, "width": width, "height": height, "scale": 1}
        shot = self.tell("Page.captureScreenshot", format="png", captureBeyondViewport=True,
                         clip=clip)
        pathlib.Path(path).write_bytes(base64.b64decode(shot["data"]))

    def paper(self, path, name):
        """The page printed on A4 or Letter, as a PDF file."""
        width, height = PAPERS[name]
        printed = self.tell("Page.printToPDF", paperWidth=width, paperHeight=height,
                            printBackground=False, preferCSSPageSize=False)
        pathlib.Path(path).write_bytes(base64.b64decode(printed["data"]))
