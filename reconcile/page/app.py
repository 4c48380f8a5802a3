"""Which address is answered by which function; and the one application behind the doors."""

from dataclasses import replace
from importlib.resources import files

from starlette.applications import Starlette
from starlette.requests import Request as HttpRequest
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

from reconcile.page.asked import Asked, Handler, PageDesk, answering
from reconcile.page.doors import Doors, refusal
from reconcile.page.shown import page
from reconcile.page.views import (
    arriving,
    asking,
    beginning,
    closing,
    counting,
    jobs,
    mending,
    orders,
    parts,
    today,
    undoing,
)

READ: dict[str, Handler] = {
    "/": today.home,
    "/today": today.today,
    "/state": today.state_of,
    "/ask": asking.ask,
    "/jobs": jobs.jobs,
    "/job": jobs.job,
    "/parts": parts.parts,
    "/part": parts.part,
    "/orders": orders.orders,
    "/order": orders.order,
    "/orders/answer": arriving.answer,
    "/receive": arriving.receive,
    "/mend": mending.mend,
    "/close": closing.close,
    "/close/deliveries": closing.deliveries,
    "/close/week": closing.week,
    "/count": counting.count,
    "/count/judge": counting.judge,
    "/begin": beginning.begin,
    "/undo": undoing.undo,
    "/release": undoing.release,
}
WRITE: dict[str, Handler] = {
    "/stop": today.stop,
    "/ask/hold": asking.hold,
    "/orders/write": orders.write,
    "/order/change": orders.change,
    "/order/place": orders.place,
    "/order/give-up": orders.give_up,
    "/orders/answer": arriving.read_answer,
    "/orders/answer/book": arriving.book,
    "/receive": arriving.book_receipt,
    "/mend/length": mending.accept,
    "/close/job": closing.save_job,
    "/close/deliveries": closing.save_deliveries,
    "/close/week": closing.book,
    "/count": counting.save,
    "/count/write": counting.write,
    "/count/book": counting.book,
    "/mend/heading": mending.heading,
    "/mend/sheet": mending.sheet,
    "/begin": beginning.settle,
    "/undo": undoing.book_undo,
    "/release": undoing.book_release,
}
STATIC = {"/page.js": "text/javascript", "/icon.svg": "image/svg+xml"}


def made_app(desk: PageDesk) -> ASGIApp:
    """The application of one workshop, behind its doors."""
    routes = [
        *(Route(path, answering(handler, failed, desk), methods=["GET"]) for path, handler in READ.items()),
        *(Route(path, answering(handler, failed, desk), methods=["POST"]) for path, handler in WRITE.items()),
        *(Route(path, static, methods=["GET"]) for path in (*STATIC, "/style.css", "/drawings.css")),
    ]
    app = Starlette(routes=routes, exception_handlers={404: not_found, 405: not_found})
    return Doors(app, desk.keys)


def failed(asked: Asked) -> Response:
    """What was refused, with all that was typed; that the first plan is being made, where that is why."""
    if asked.shown.made is None and not asked.posted:
        return page(replace(asked, refused=()), "reading.html", "today", {})
    current = asked.path.strip("/").split("/")[0]
    return page(asked, "failed.html", current, {}, 422)


async def static(http: HttpRequest) -> Response:
    """Our own style, script and mark: nothing is read by a name that somebody gave."""
    path = http.url.path
    if path == "/drawings.css":
        from reconcile.reports.drawings.joint import drawing_style

        return Response(drawing_style(), media_type="text/css")
    kind = STATIC.get(path, "text/css")
    return Response(files("reconcile.page").joinpath("static", path[1:]).read_bytes(), media_type=kind)


async def not_found(_http: HttpRequest, _fault: Exception) -> Response:
    return refusal(404, "There is no such page.")
