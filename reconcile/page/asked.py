"""What a browser asked, as the functions that answer it take it; and the one place where forms are read."""

import threading
from collections.abc import Awaitable, Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.requests import ClientDisconnect
from starlette.requests import Request as HttpRequest
from starlette.responses import RedirectResponse, Response

from reconcile.page.doors import Keys, TooMuch, is_ours, refusal
from reconcile.page.kept import KeptPlan, PlanShown
from reconcile.sheets.request import Request
from reconcile.values.problem import Place, Problem, Unusable, problem

MOST_FIELDS, MOST_FILES = 20_000, 1
LONGEST_FIELD = 20_000
ACCEPTED = "accept.csv"
"""In the workshop's folder: what Mend was told of lengths that became dates."""


@dataclass(slots=True)
class PageDesk:
    """What all pages of one run share."""

    request: Request
    keys: Keys
    plan: KeptPlan
    stop: Callable[[], None]
    booking: threading.Lock = field(default_factory=threading.Lock)
    """Two windows that write at the same moment do it one after the other; other programs are held off by
    the ledger's own lock."""
    who: str = ""
    """Who said their name last."""
    sent: set[str] = field(default_factory=set)
    """Forms that were booked: one that is sent again, by loading the page anew, books nothing twice."""

    @property
    def folder(self) -> Path:
        return self.request.folder

    @property
    def asking(self) -> Request:
        """What the commands would be asked with, now."""
        return with_accepted(self.request)


def with_accepted(request: Request) -> Request:
    """The request with the accept file of the folder, where there is one."""
    path = request.folder / ACCEPTED
    return replace(request, accept=path) if request.accept is None and path.is_file() else request


@dataclass(frozen=True, slots=True)
class Uploaded:
    """A file that was sent along."""

    name: str
    data: bytes


@dataclass
class Asked:
    """One request. What was typed stands in ``form``, word for word, so that a refusal can show it again."""

    desk: PageDesk
    path: str
    query: Mapping[str, str] = field(default_factory=dict)
    form: tuple[tuple[str, str], ...] = ()
    posted: bool = False
    upload: Uploaded | None = None
    refused: tuple[Problem, ...] = ()
    """Why what was typed was not done; then it is shown again."""

    def typed(self, name: str, otherwise: str = "") -> str:
        """The first of what was typed under a name, else what the address says."""
        return next((text for key, text in self.form if key == name), self.query.get(name, otherwise)).strip()

    def all_typed(self, name: str) -> list[str]:
        return [text for key, text in self.form if key == name]

    def has(self, name: str) -> bool:
        return any(key == name for key, _ in self.form)

    def one_of(self, name: str, known: Iterable[str], what: str) -> str:
        """A name that is one of those there are. Raises Unusable (call-unusable) for any other."""
        given, there = self.typed(name), list(known)
        if given not in there:
            raise Unusable(call_unusable(what, f"There is no {what} {given!r}."))
        return given

    @property
    def who(self) -> str:
        """Who does it: the name that was typed, here or in the form before."""
        return self.desk.who

    def note_who(self) -> None:
        """A name that was typed is remembered, also where the rest is refused."""
        if self.has("who"):
            self.desk.who = self.typed("who")

    @cached_property
    def shown(self) -> PlanShown:
        """The plan, looked at once for a request."""
        return self.desk.plan.shown()


def call_unusable(what: str, says: str) -> Problem:
    """Something was typed into a page that cannot be used."""
    return problem("call-unusable", Place("page", "", what), says)


Handler = Callable[[Asked], Response]


Endpoint = Callable[[HttpRequest], Awaitable[Response]]


def answering(handler: Handler, failed: Handler, desk: PageDesk) -> Endpoint:
    """A function that the application calls for an address: form read, token looked at, work done aside.

    ``failed`` shows what was refused where the handler did not say it itself.
    """

    async def endpoint(http: HttpRequest) -> Response:
        try:
            asked = await read_asked(http, desk)
        except (TooMuch, ClientDisconnect):
            return refusal(413, "That is more than is taken in. Nothing was done.")
        if asked is None:
            return refusal(403, "This form is none of this run. Go back and load the page anew.")
        return await run_in_threadpool(partial(guarded, handler, failed, asked))

    return endpoint


def guarded(handler: Handler, failed: Handler, asked: Asked) -> Response:
    """The answer; where something is refused, or we failed, a page that says so and keeps what was typed."""
    try:
        if not asked.posted:
            return handler(asked)
        with asked.desk.booking:
            refuse_sent(asked)
            asked.note_who()
            return handler(asked)
    except Unusable as unusable:
        return failed(replace(asked, refused=unusable.problems))
    except Exception as crash:
        says = f"The program failed: {type(crash).__name__}: {crash}."
        return failed(replace(asked, refused=(problem("own-fault", Place("page", "", asked.path), says),)))


def refuse_sent(asked: Asked) -> None:
    """Raises Unusable (call-unusable) for a form that was booked already."""
    if asked.typed("once") in asked.desk.sent:
        raise Unusable(call_unusable("form", "This was sent before, and is booked. Nothing was done twice."))


def note_sent(asked: Asked) -> None:
    """What this form asked for is done."""
    if once := asked.typed("once"):
        asked.desk.sent.add(once)


async def read_asked(http: HttpRequest, desk: PageDesk) -> Asked | None:
    """What was asked; None for a form that is none of ours. Raises TooMuch."""
    path, query = http.url.path, dict(http.query_params)
    if http.method != "POST":
        return Asked(desk, path, query)
    try:
        form = await http.form(max_files=MOST_FILES, max_fields=MOST_FIELDS, max_part_size=LONGEST_FIELD)
    except TooMuch:
        raise
    except Exception:  # whatever cannot be read as a form was not sent by one of ours
        return None
    try:
        if not is_ours(_text(form, "token"), desk.keys):
            return None
        typed = [(key, value) for key, value in form.multi_items() if isinstance(value, str)]
        if any(len(value) > LONGEST_FIELD for _, value in typed):
            raise TooMuch
        return Asked(desk, path, query, tuple(typed), posted=True, upload=await _uploaded(form))
    finally:
        await form.close()


async def _uploaded(form: FormData) -> Uploaded | None:
    for _, value in form.multi_items():
        if isinstance(value, UploadFile) and value.filename:
            return Uploaded(value.filename, await value.read())
    return None


def _text(form: FormData, name: str) -> str:
    value = form.get(name, "")
    return value if isinstance(value, str) else ""


def see_other(path: str) -> Response:
    """After something was done: the page that shows it, so that loading it again does nothing twice."""
    return RedirectResponse(path, 303)
