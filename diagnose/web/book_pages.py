"""The pages of the casebook, of the rigs, and of the book."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from diagnose.casebook.brief import shipped_groups
from diagnose.casebook.closure import verdict
from diagnose.casebook.index import opened_index
from diagnose.casebook.photos import photos_of
from diagnose.casebook.review import review
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import Catalogue
from diagnose.reasoning.explanation import title
from diagnose.report.case_html import case_html
from diagnose.report.handbook_html import handbook_html
from diagnose.web import views
from diagnose.web.face import Face
from diagnose.web.walks import NoSuchWalk

LATEST = 50
"""Cases that are listed, the latest first."""

OWN_POLICY = {"Content-Security-Policy": "frame-ancestors 'none'"}
"""For pages that bring a policy of their own, stricter than the server's."""


class BookPages(Face):
    """What is looked up: cases, their photos, a review, rigs, the handbook."""

    def routes(self) -> list[Route]:
        """Their addresses."""
        return [
            Route("/cases", self.page(self.cases)),
            Route("/cases/{name}", self.page(self.case)),
            Route("/cases/{name}/photo/{number:int}", self.page(self.photo)),
            Route("/rigs/{name}", self.page(self.rig)),
            Route("/review", self.page(self.review)),
            Route("/handbook", self.page(self.handbook)),
        ]

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
