"""A workshop opened as a page, for tests: asked as a browser asks it, forms filled in as they stand."""

import re
import shutil
from dataclasses import dataclass, field
from datetime import date
from html import unescape
from pathlib import Path

from lxml import html
from starlette.testclient import TestClient

from reconcile.page.app import made_app
from reconcile.page.asked import PageDesk, with_accepted
from reconcile.page.doors import Keys
from reconcile.page.kept import KeptPlan
from reconcile.sheets.request import Request

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "data_demo"
TODAY = date(2026, 11, 27)
LONG_ENOUGH = 60


@dataclass
class Opened:
    """A page of a workshop, with a browser that was let in."""

    folder: Path
    today: date = TODAY
    keys: Keys = field(default_factory=lambda: Keys(8000))

    def __post_init__(self) -> None:
        request = Request(self.folder, today=self.today)
        self.stopped: list[bool] = []
        self.desk = PageDesk(
            request, self.keys, KeptPlan(request, with_accepted), lambda: self.stopped.append(True)
        )
        self.client = self.stranger()
        assert self.client.get(f"/?key={self.keys.key}", follow_redirects=False).status_code == 303
        self.wait()

    def stranger(self) -> TestClient:
        """A browser that was not let in yet."""
        headers = {"origin": self.keys.origin}
        return TestClient(made_app(self.desk), base_url=self.keys.origin, headers=headers)

    def wait(self) -> None:
        """Until the plan is that of the files as they are."""
        assert self.desk.plan.shown(LONG_ENOUGH).made is not None

    def get(self, path: str, **query: str) -> "Seen":
        return Seen(self.client.get(path, params=query or None))

    def form(self, path: str, action: str, which: int = 0, **query: str) -> dict[str, str]:
        """What a browser would send of a form as it stands."""
        page = html.fromstring(self.client.get(path, params=query or None).text)
        forms = [each for each in page.forms if each.get("action") == action and each.method == "POST"]
        return {name: value or "" for name, value in forms[which].form_values() if name}

    def send(self, path: str, action: str, which: int = 0, files=None, query=None, **typed: str) -> "Seen":
        """Fills in the form of a page and sends it. ``typed``: __ stands for what no name can hold."""
        filled = self.form(path, action, which, **(query or {}))
        filled |= {name.replace("__", " "): value for name, value in typed.items()}
        self.wait()
        answer = self.client.post(action, data=filled, files=files)
        self.wait()
        return Seen(answer)

    def post(self, action: str, **typed: str) -> "Seen":
        """What only who knows the token can send."""
        return Seen(self.client.post(action, data={"token": self.keys.token, **typed}))


class Seen:
    """An answer, as a person sees it."""

    def __init__(self, answer) -> None:
        self.status, self.html, self.headers = answer.status_code, answer.text, answer.headers
        self.path = answer.url.path

    @property
    def text(self) -> str:
        """The words of its main part, without marks."""
        main = re.search(r"<main.*?</main>", self.html, re.DOTALL)
        return " ".join(unescape(re.sub(r"<[^>]+>", " ", main[0] if main else self.html)).split())

    @property
    def verdict(self) -> str:
        found = re.search(r"<h1[^>]*>(.*?)</h1>", self.html, re.DOTALL)
        return " ".join(unescape(re.sub(r"<[^>]+>", "", found[1] if found else "")).split())


def opened_demo(folder: Path, today: date = TODAY) -> Opened:
    """The demo workshop in a new folder, opened."""
    shutil.copytree(DEMO, folder)
    return Opened(folder, today)
