"""What strangers send: refused in a sentence, nothing leaks, nothing is lost."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest

from diagnose.web.guard import LONGEST_BODY, hosts_at
from diagnose.web.walks import Walks
from tests.web.conftest import Open, Sent

AS_FORM = {"content-type": "application/x-www-form-urlencoded"}
EVIL = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>{{ 7*7 }}"


def test_every_answer_has_the_policy(visit: Open) -> None:
    visitor = visit()
    for place in ("/", "/nowhere", "/walks/2026-01-01-x", "/static/page.css"):
        visitor.go(place)
        assert visitor.answer is not None
        policy = visitor.answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "'unsafe" not in policy
        assert visitor.answer.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("host", ["evil.example", "testserver.evil.example", "testserver:81", ""])
def test_another_host_is_turned_away(visit: Open, host: str) -> None:
    visitor = visit()
    assert visitor.client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_form_of_another_site_changes_nothing(
    visit: Open, walks: Walks, headers: dict[str, str]
) -> None:
    visitor = visit()
    sent = visitor.client.post("/begin", data={"rig": "bowser", "able": "rig"}, headers=headers)
    assert sent.status_code == 403
    assert not walks.unfinished()


@pytest.mark.parametrize(
    "place", ["/", "/wrong/", "/tokeN/", "/token2/", "//token/", "/static/page.css"]
)
def test_without_the_token_there_is_nothing(visit: Open, place: str) -> None:
    answer = visit("token").client.get(
        f"http://testserver{place}" if "//t" not in place else "http://testserver/x/token/"
    )
    assert answer.status_code == 404
    assert "walks" not in answer.text


def test_with_the_token_a_whole_walk_stays_below_it(visit: Open) -> None:
    visitor = visit("token")
    page = visitor.go("/token/")
    assert all(link.startswith(("/token/", "#")) for link in page.links)
    form = visitor.go("/token/begin?rig=bowser").form("/begin")
    page = visitor.send(form)
    assert visitor.at.startswith("/token/walks/")
    assert visitor.status == 200
    assert all(form.to.startswith("/token/") for form in page.forms)


@pytest.mark.parametrize("field", ["rig", "able", "words", "complaint", "seen", "read", "heard"])
def test_injection_in_any_field_of_the_beginning_is_only_text(visit: Open, field: str) -> None:
    data = {"rig": "bowser", "able": "rig"} | {field: EVIL}
    answer = visit().client.post("/begin", data=data)
    assert "<script>alert" not in answer.text
    assert "<img src=x" not in answer.text


@pytest.mark.parametrize(
    ("act", "field"),
    [
        ("answer", "test"),
        ("answer", "answer"),
        ("say", "words"),
        ("told", "note"),
        ("told", "seen"),
        ("safe", "stop"),
        ("can", "can"),
        ("other", "cause"),
        ("prove", "reading"),
        ("back", "step"),
    ],
)
def test_injection_in_any_field_of_a_walk_is_only_text(visit: Open, act: str, field: str) -> None:
    visitor = visit()
    visitor.begin("the relay chatters")
    place = visitor.at
    answer = visitor.client.post(f"{place}/{act}", data={field: EVIL})
    assert answer.status_code in (200, 422)
    for text in (answer.text, visitor.client.get(place).text):
        assert "<script>alert" not in text
        assert "<img src=x" not in text


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "..%2f..%2fetc", "2026-01-01-..", "%00", "x" * 500, ".lock"]
)
@pytest.mark.parametrize("where", ["walks", "cases", "static"])
def test_no_path_leads_out(visit: Open, where: str, name: str) -> None:
    answer = visit().client.get(f"/{where}/{name}")
    assert answer.status_code in (400, 404, 422)
    assert "root:" not in answer.text


@pytest.mark.parametrize("rig", ["/etc/passwd", "../bowser", "header-tank", ""])
def test_no_rig_but_those_offered(visit: Open, rig: str) -> None:
    answer = visit().client.post("/begin", data={"rig": rig, "able": "rig"})
    assert answer.status_code == 422


def test_a_body_too_long_is_refused_unread(visit: Open, walks: Walks) -> None:
    client = visit().client
    assert client.post("/begin", data={"words": "x" * LONGEST_BODY}).status_code == 413
    assert client.post("/begin", content=iter([b"x" * 40_000] * 2)).status_code == 413
    assert client.put("/begin").status_code == 405
    assert not walks.unfinished()


def test_spoiled_forms_are_refused_in_a_sentence(visit: Open) -> None:
    client = visit().client
    sent = client.post(
        "/begin",
        content=b"\xff\xfe=%zz&",
        headers={"content-type": "application/x-www-form-urlencoded"},
    )
    assert sent.status_code in (400, 422)
    assert "Traceback" not in sent.text
    many = "&".join(f"f{n}=1" for n in range(2000))
    sent = client.post("/begin", content=many, headers=AS_FORM)
    assert sent.status_code in (400, 422)


def test_fifty_at_once_lose_nothing(visit: Open, walks: Walks) -> None:
    visitor = visit()
    page = visitor.begin("the relay chatters")
    form = page.form("/say")

    def noted(number: int) -> int:
        told = Sent(form.to.replace("/say", "/told"), "post")
        return visit().client.post(told.to, data={"note": f"remark {number}"}).status_code

    with ThreadPoolExecutor(10) as crowd:
        statuses = [*crowd.map(noted, range(50))]
    assert statuses == [200] * 50
    with walks.held(page.form("/say").to.split("/")[2]) as journal:
        assert sorted(journal.walk.notes) == sorted(f"remark {n}" for n in range(50))


def test_hosts_carry_their_port() -> None:
    assert hosts_at(["localhost"], 8712) == {"localhost:8712"}
    assert hosts_at(["localhost"], 80) == {"localhost:80", "localhost"}
