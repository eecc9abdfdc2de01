"""The addresses of the server, and what is done and shown at each."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from diagnose.casebook.journal import Journal
from diagnose.casebook.photos import keep_photo, photos_of
from diagnose.errors import DiagnoseError
from diagnose.pages.meanings import hear
from diagnose.steps import Contradiction, Question
from diagnose.walkthrough import Walk
from diagnose.web import answers, views
from diagnose.web.answers import Elsewhere, Form
from diagnose.web.book_pages import BookPages
from diagnose.web.face import HERE, MOST_FIELDS, Face
from diagnose.web.walks import result_of


class Pages(Face):
    """All pages over the walks of one casebook."""

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
                Route("/", self.page(self.home)),
                Route("/begin", self.page(self.begin)),
                Route("/begin", self.form(self.begun), methods=["POST"]),
                Route("/walks/{name}", self.page(self.walk)),
                Route("/walks/{name}/why", self.page(self.why)),
                Route("/walks/{name}/photo", self._photo, methods=["POST"]),
                Route("/walks/{name}/say", self.form(self.say), methods=["POST"]),
                *each,
                *BookPages(self.walks, self.templates).routes(),
                Mount("/static", StaticFiles(directory=HERE / "static"), name="static"),
            ],
        )

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

        return self.form(take)

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
