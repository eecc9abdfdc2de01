"""The addresses of the server, and what is done and shown at each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from diagnose.casebook.brief import shipped_groups
from diagnose.casebook.closure import verdict
from diagnose.casebook.index import opened_index
from diagnose.casebook.journal import Journal
from diagnose.casebook.photos import keep_photo, photos_of
from diagnose.casebook.review import review
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import Catalogue
from diagnose.errors import DiagnoseError, Mistakes
from diagnose.pages.meanings import hear
from diagnose.reasoning.explanation import title
from diagnose.report.case_html import case_html
from diagnose.report.handbook_html import handbook_html
from diagnose.steps import Contradiction, Question
from diagnose.walkthrough import Walk
from diagnose.web import answers, views
from diagnose.web.answers import Elsewhere, Form
from diagnose.web.walks import NoSuchWalk, Walks, result_of

HERE = Path(__file__).parent
LATEST = 50
"""Cases that are listed, the latest first."""

MOST_FIELDS = 200
"""Fields of a form that are read; a page has fewer."""

Act = Callable[[Journal, Form], str]
"""What a form does to a walk; where it leads, "" for the walk's own page."""


@dataclass(frozen=True)
class Pages:
    """All pages over the walks of one casebook."""

    walks: Walks
    templates: Environment

    @classmethod
    def of(cls, walks: Walks) -> Pages:
        made = Environment(
            loader=FileSystemLoader(HERE / "templates"),
            autoescape=select_autoescape(default=True, default_for_string=True),
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        made.filters["kind"] = views.kind_of
        return cls(walks, made)

    def app(self) -> Starlette:
        """The whole, to be put behind a Guard."""
        acts = {
            "answer": lambda journal, form: answers.answer(journal.walk, form),
            "told": lambda journal, form: answers.take_told(journal.walk, form),
            "back": lambda journal, form: journal.walk.back(),
            "safe": lambda journal, form: journal.walk.made_safe(form.one("stop")),
            "can": lambda journal, form: journal.walk.can(answers.said(form.one("can"))),
        }
        ends = {
            "prove": self._prove,
            "part": self._by_part,
            "other": self._other,
            "keep": self._keep,
        }
        acts |= ends
        each = [
            Route(f"/walks/{{name}}/{word}", self._doing(act, word in ends), methods=["POST"])
            for word, act in acts.items()
        ]
        return Starlette(
            routes=[
                Route("/", self._page(self.home)),
                Route("/begin", self._page(self.begin)),
                Route("/begin", self._form(self.begun), methods=["POST"]),
                Route("/walks/{name}", self._page(self.walk)),
                Route("/walks/{name}/why", self._page(self.why)),
                Route("/walks/{name}/photo", self._photo, methods=["POST"]),
                Route("/cases/{name}/photo/{number:int}", self._page(self.photo)),
                Route("/rigs/{name}", self._page(self.rig)),
                Route("/walks/{name}/say", self._form(self.say), methods=["POST"]),
                *each,
                Route("/cases", self._page(self.cases)),
                Route("/cases/{name}", self._page(self.case)),
                Route("/review", self._page(self.review)),
                Route("/handbook", self._page(self.handbook)),
                Mount("/static", StaticFiles(directory=HERE / "static"), name="static"),
            ],
        )

    # -- how pages are made ----------------------------------------------------------------------

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

    def _page(self, make: Callable[[Request], Response]) -> Callable[[Request], Any]:
        async def show(request: Request) -> Response:
            return await run_in_threadpool(self._tried, make, request)

        return show

    def _form(self, take: Callable[[Request, Form], Response]) -> Callable[[Request], Any]:
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

    # -- a walk ----------------------------------------------------------------------------------

    def home(self, request: Request) -> Response:
        """Where a walk begins, and those that were broken off."""
        return self.shown(
            request, "home.html", rigs=[*self.walks.rigs], unfinished=self.walks.unfinished()
        )

    def begin(self, request: Request) -> Response:
        """What is the matter, on one of the rigs."""
        name, able = request.query_params.get("rig", ""), _able(request)
        with self.walks.alone():
            walk = self.walks.fresh(name, able)
            shown = views.complaint_view(walk.bench) | views.walk_view(walk, None)
        return self.shown(request, "begin.html", rig_name=name, able=able, **shown)

    def begun(self, request: Request, form: Form) -> Response:
        """The complaint: its words are shown as they were understood before they count."""
        with self.walks.alone():
            walk = self.walks.fresh(form.one("rig"), form.one("able"))
            words = answers.said(form.one("words"))
            if words and form.one("heard") != "yes":
                found = views.meanings_view(walk.bench, hear(walk.bench, words))
                return self.shown(
                    request,
                    "heard.html",
                    to="/begin",
                    words=words,
                    fixed={
                        "rig": [form.one("rig")],
                        "able": [form.one("able")],
                        "complaint": form.many("complaint"),
                        "words": [words],
                        "heard": ["yes"],
                    },
                    **found,
                )
            items, kept = answers.told(walk.bench, form)
            name = self.walks.begin(walk, items, kept)
        return self.sent(request, f"/walks/{name}")

    def walk(self, request: Request) -> Response:
        """The question that stands, or what the walk comes to."""
        with self.walks.held(request.path_params["name"]) as journal:
            asked = request.query_params
            return self._standing(
                request, journal, asked.get("ask", ""), at_end=asked.get("end") == "yes"
            )

    def _standing(
        self,
        request: Request,
        journal: Journal,
        ask: str = "",
        trouble: DiagnoseError | None = None,
        typed: str = "",
        at_end: bool = False,
    ) -> Response:
        walk = journal.walk
        question = None if at_end else _question(walk, ask)
        shown = views.walk_view(walk, question)
        if question is None:
            shown |= views.result_view(walk, result_of(walk))
        return self.shown(
            request,
            "question.html" if question else "result.html",
            422 if trouble else 200,
            name=journal.id,
            complaint=[*journal.opening.complaint],
            photos=len(photos_of(self.walks.casebook, journal.id)),
            trouble=str(trouble) if trouble else "",
            insist=isinstance(trouble, Contradiction),
            typed=typed,
            **shown,
        )

    def why(self, request: Request) -> Response:
        """Why this is asked, and what else could be."""
        with self.walks.held(request.path_params["name"]) as journal:
            walk = journal.walk
            question = _question(walk, request.query_params.get("ask", ""))
            shown = views.why_view(walk, question)
            return self.shown(request, "why.html", name=journal.id, **shown)

    def say(self, request: Request, form: Form) -> Response:
        """What was said unasked, as it was understood; nothing counts yet."""
        with self.walks.held(request.path_params["name"]) as journal:
            bench, words = journal.walk.bench, answers.said(form.one("words"))
            if not words:
                return self.sent(request, f"/walks/{journal.id}")
            found = views.meanings_view(bench, hear(bench, words, form.one("test") or None))
            note = "; ".join(found["not_understood"]) if found["meanings"] else words
            fixed = {"note": [note], "step": [form.one("step")]}
            to = f"/walks/{journal.id}/told"
            return self.shown(request, "heard.html", to=to, words=words, fixed=fixed, **found)

    def _doing(
        self, act: Callable[[Journal, Form], Any], at_end: bool = False
    ) -> Callable[[Request], Any]:
        """A form that changes a walk, then the walk again; one made before the walk went on
        elsewhere changes nothing. at_end: whether it stands on the result's page."""

        def take(request: Request, form: Form) -> Response:
            with self.walks.held(request.path_params["name"]) as journal:
                try:
                    _check_step(journal.walk, form)
                    done = act(journal, form)
                except DiagnoseError as problem:
                    test, typed = form.one("test"), form.one("answer") or form.one("reading")
                    return self._standing(request, journal, test, problem, typed, at_end)
            return self.sent(request, done if isinstance(done, str) else f"/walks/{journal.id}")

        return self._form(take)

    async def _photo(self, request: Request) -> Response:
        """A photo for the walk; it is kept beside the case that the walk becomes."""
        async with request.form(max_files=1, max_fields=MOST_FIELDS) as sent:
            found = sent.get("photo")
            body = await found.read() if isinstance(found, UploadFile) else b""

        def keep(_: Request) -> Response:
            name = request.path_params["name"]
            with self.walks.held(name):
                keep_photo(self.walks.casebook, name, body)
            return self.sent(request, f"/walks/{name}")

        return await run_in_threadpool(self._tried, keep, request)

    # -- the end of a walk -----------------------------------------------------------------------

    def _prove(self, journal: Journal, form: Form) -> str:
        found = answers.proof_of(journal.walk, result_of(journal.walk).verify, form)
        return f"/cases/{self.walks.save(journal, found).id}"

    def _by_part(self, journal: Journal, form: Form) -> str:
        if journal.walk.stops():
            raise Elsewhere("While a stop stands the case stays open; deal with it first.")
        cause = result_of(journal.walk).cause
        return f"/cases/{self.walks.close(journal, cause, 'part-swapped').id}"

    def _other(self, journal: Journal, form: Form) -> str:
        cause, words = answers.cause_of(journal.walk, form)
        how = "part-swapped" if form.one("by-part") == "yes" else "none"
        return f"/cases/{self.walks.close(journal, cause, how, words).id}"

    def _keep(self, journal: Journal, form: Form) -> str:
        return f"/cases/{self.walks.save(journal).id}"

    # -- the casebook and the book ---------------------------------------------------------------

    def cases(self, request: Request) -> Response:
        with opened_index(self.walks.casebook) as index:
            briefs = index.briefs()[::-1]
            problems = [*map(str, index.problems)]
        rows = [
            {
                "id": one.id,
                "day": f"{one.opened:%Y-%m-%d}",
                "rig": one.rig,
                "status": one.status,
                "mode": title(self._book(), one.mode) if one.mode else "no diagnosis",
            }
            for one in briefs[:LATEST]
        ]
        return self.shown(request, "cases.html", rows=rows, total=len(briefs), problems=problems)

    def case(self, request: Request) -> Response:
        case = self.walks.casebook.load(request.path_params["name"])
        said = verdict(case.verification) if case.verification else ""
        if request.query_params.get("sheet") == "yes":
            return HTMLResponse(case_html(case, self._book()), headers=OWN_POLICY)
        return self.shown(
            request,
            "case.html",
            case=case,
            said=said,
            cause=title(self._book(), case.cause),
            photos=len(photos_of(self.walks.casebook, case.id)),
        )

    def photo(self, request: Request) -> Response:
        """One photo of a case."""
        found = photos_of(self.walks.casebook, request.path_params["name"])
        number = request.path_params["number"]
        if not 1 <= number <= len(found):
            return self.refused(request, NoSuchWalk("There is no such photo."), 404)
        return Response(found[number - 1].read_bytes(), media_type="image/jpeg")

    def rig(self, request: Request) -> Response:
        """What a rig should read, with its drawing."""
        with self.walks.alone():
            bench = self.walks.bench(self.walks.rig(request.path_params["name"]))
            shown = views.rig_view(bench)
        return self.shown(request, "rig.html", **shown)

    def review(self, request: Request) -> Response:
        with opened_index(self.walks.casebook) as index:
            found = review(index, index.briefs(), shipped_groups())
        return self.shown(request, "review.html", found=found, book=self._book(), title_of=title)

    def handbook(self, request: Request) -> Response:
        name = request.query_params.get("rig") or next(iter(self.walks.rigs))
        with self.walks.alone():
            made = handbook_html(self.walks.bench(self.walks.rig(name)))
        return HTMLResponse(made, headers=OWN_POLICY)

    def _book(self) -> Catalogue:
        return shipped_catalogue()


OWN_POLICY = {"Content-Security-Policy": "frame-ancestors 'none'"}
"""For pages that bring a policy of their own, stricter than the server's."""


def _able(request: Request) -> str:
    """What whoever answers can do, in the words of the kit."""
    at = "phone" if request.query_params.get("at") == "phone" else "rig"
    return at if request.query_params.get("meter") != "no" else f"{at} no meter"


def _question(walk: Walk, ask: str) -> Question | None:
    """The question that was picked, where it can be asked now; else the walk's own."""
    if ask in walk.bench.tests and walk.may_be_asked(ask):
        return walk.ask(ask)
    return walk.question()


def _check_step(walk: Walk, form: Form) -> None:
    """Raises Elsewhere where the form was made before the last step."""
    if form.one("step") not in ("", str(len(walk.steps))):
        raise Elsewhere("The walk has gone on since this page was made; this is where it stands.")
