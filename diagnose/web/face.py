"""How pages are made: templates, forms, and what is said where something refuses."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from diagnose.errors import DiagnoseError, Mistakes
from diagnose.web import views
from diagnose.web.answers import Form
from diagnose.web.walks import NoSuchWalk, Walks

HERE = Path(__file__).parent

MOST_FIELDS = 200
"""Fields of a form that are read; a page has fewer."""


@dataclass(frozen=True)
class Face:
    """What all pages share: the walks of one casebook, and the templates."""

    walks: Walks
    templates: Environment

    @classmethod
    def of(cls, walks: Walks) -> Self:
        made = Environment(
            loader=FileSystemLoader(HERE / "templates"),
            autoescape=select_autoescape(default=True, default_for_string=True),
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        made.filters["kind"] = views.kind_of
        return cls(walks, made)

    def shown(self, request: Request, template: str, status: int = 200, **more: Any) -> Response:
        """A page from its template; `root` stands before every address of this server."""
        root = request.scope.get("root_path", "").rstrip("/")
        text = self.templates.get_template(template).render(root=root, **more)
        return HTMLResponse(text, status)

    def sent(self, request: Request, to: str) -> Response:
        """To another page, after something was done."""
        return RedirectResponse(request.scope.get("root_path", "").rstrip("/") + to, 303)

    def refused(self, request: Request, problem: DiagnoseError, status: int) -> Response:
        """What is wrong, in its sentences, on a page of its own."""
        several = problem.problems if isinstance(problem, Mistakes) else (problem,)
        return self.shown(request, "refused.html", status, problems=[*map(str, several)])

    def page(self, make: Callable[[Request], Response]) -> Callable[[Request], Any]:
        async def show(request: Request) -> Response:
            return await run_in_threadpool(self._tried, make, request)

        return show

    def form(self, take: Callable[[Request, Form], Response]) -> Callable[[Request], Any]:
        async def do(request: Request) -> Response:
            async with request.form(max_files=0, max_fields=MOST_FIELDS) as sent:
                fields = {name: [str(one) for one in sent.getlist(name)] for name in sent}
            form = Form(fields)
            return await run_in_threadpool(self._tried, lambda one: take(one, form), request)

        return do

    def _tried(self, make: Callable[[Request], Response], request: Request) -> Response:
        try:
            return make(request)
        except NoSuchWalk as problem:
            return self._gone(request, problem)
        except DiagnoseError as problem:
            return self.refused(request, problem, 422)

    def _gone(self, request: Request, problem: DiagnoseError) -> Response:
        """A walk that is a case by now leads there."""
        name = str(request.path_params.get("name", ""))
        try:
            self.walks.casebook.load(name)
        except DiagnoseError:
            return self.refused(request, problem, 404)
        return self.sent(request, f"/cases/{name}")
