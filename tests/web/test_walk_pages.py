"""A walk on the pages: the same questions as in the terminal, kept as it goes on."""

from __future__ import annotations

import io
import re

import pytest
from PIL import Image

from diagnose.bench import Bench
from diagnose.casebook.journal import Journal, path_of_walk
from diagnose.casebook.photos import photos_of
from diagnose.casebook.record import Case
from diagnose.circuit.reading_words import reading_of
from diagnose.pages.meanings import hear
from diagnose.reasoning.evidence import Seen
from diagnose.reasoning.words import band
from diagnose.walkthrough import Walk
from diagnose.web.walks import Walks, result_of
from tests.web.conftest import Open, Read, Visitor

CHATTERS = "the relay chatters"


def walk_of(visitor: Visitor) -> str:
    """The id of the walk that is shown."""
    found = re.search(r"/walks/([^/]+)", visitor.at)
    assert found, visitor.at
    return found[1]


def case_at(walks: Walks, visitor: Visitor) -> Case:
    return walks.casebook.load(visitor.at.rsplit("/", 1)[-1])


ANSWERS = {"voltage": "12.1 V", "current": "13 A", "resistance": "0.2 ohm", "peak-current": "40 A"}


def test_the_pages_ask_what_the_walk_asks(visit: Open, bowser: Bench) -> None:
    visitor = visit()
    page = visitor.begin(CHATTERS)
    walk = Walk(bowser)
    walk.tell([Seen("relay-sound", "chatters")])
    asked = 0
    while (question := walk.question()) is not None and asked < 8:
        assert page.heading == question.sentence
        form = page.form("/answer")
        assert dict(form.fields)["test"] == question.id
        options = [value for name, value in form.buttons if name == "answer"]
        answer = options[0] if options else ANSWERS[question.id.split()[0]]
        walk.answer(question, answer)
        page, asked = visitor.answered(page, answer), asked + 1
        assert visitor.status == 200
    assert asked == 8


def test_a_killed_server_loses_nothing_and_the_terminal_goes_on(
    visit: Open, walks: Walks, bowser: Bench
) -> None:
    visitor = visit()
    page = visitor.begin(CHATTERS)
    for answer in ("on", "12.5 V"):
        options = [value for name, value in page.form("/answer").buttons if name == "answer"]
        page = visitor.answered(page, options[0] if options else answer)
    name = walk_of(visitor)
    journal = Journal.resume(
        path_of_walk(walks.casebook, name), lambda rig: bowser
    )  # no server is needed
    assert len(journal.walk.steps) == 2
    journal.close()
    assert visit().go(f"/walks/{name}").heading == page.heading


def test_what_a_terminal_holds_is_said_and_not_touched(
    visit: Open, walks: Walks, bowser: Bench
) -> None:
    visitor = visit()
    visitor.begin(CHATTERS)
    name = walk_of(visitor)
    journal = Journal.resume(path_of_walk(walks.casebook, name), lambda rig: bowser)
    page = visitor.go(f"/walks/{name}")
    journal.close()
    assert visitor.status == 422
    assert "open in another terminal" in page.said


def test_words_count_only_once_they_are_confirmed(visit: Open, walks: Walks) -> None:
    visitor = visit()
    form = visitor.go("/begin?rig=bowser").form("/begin")
    page = visitor.send(form, words="it just clicks, and my aunt likes it")
    assert page.heading == "Is this right?"
    assert not walks.unfinished()
    visitor.send(page.form("/begin"), seen="relay-sound=one-click")
    with walks.held(walk_of(visitor)) as journal:
        assert Seen("relay-sound", "one-click", reported=True) in journal.walk.told
        assert journal.opening.complaint == ("it just clicks, and my aunt likes it",)


def test_something_said_between_two_questions_is_taken_and_the_rest_noted(
    visit: Open, walks: Walks
) -> None:
    visitor = visit()
    page = visitor.begin(CHATTERS)
    heard = visitor.send(page.form("/say"), words="motor- lug- 2.2 V, zzzyx blorp")
    visitor.send(heard.form("/told"), read="voltage motor- lug- calling = 2.2 V")
    with walks.held(walk_of(visitor)) as journal:
        assert [item.id for item in journal.walk.evidence][-1] == "voltage motor- lug- calling"
        assert journal.walk.notes == ("zzzyx blorp",)


def test_a_question_can_be_left_taken_back_and_another_picked(visit: Open, walks: Walks) -> None:
    visitor = visit()
    first = visitor.begin(CHATTERS)
    second = visitor.send(first.form("/answer"), **{"pass": "unknown"})
    assert second.heading != first.heading
    again = visitor.send(second.form("/back"))
    assert again.heading == first.heading
    why = visitor.go(f"/walks/{walk_of(visitor)}/why")
    assert "What each answer would mean on this rig" in why.said
    other = next(link for link in why.links if "?ask=" in link)
    assert visitor.go(other).heading != first.heading


def test_without_a_meter_no_reading_is_asked(visit: Open) -> None:
    visitor = visit()
    page = visitor.begin(CHATTERS)
    page = visitor.send(page.form("/can"), can="no meter")
    for _ in range(6):
        if not page.heading or "What to do next" in page.said:
            break
        assert not page.heading.startswith("Measure voltage"), page.heading
        page = visitor.send(page.form("/answer"), **{"pass": "skipped"})


def test_two_phones_on_one_walk_do_not_answer_twice(visit: Open, walks: Walks) -> None:
    one, other = visit(), visit()
    page = one.begin(CHATTERS)
    stale = other.go(one.at)
    answer = page.form("/answer").buttons[0][1] if page.form("/answer").buttons else "12.5 V"
    one.answered(page, answer)
    late = other.answered(stale, answer)
    assert other.status == 422
    assert "has gone on since this page was made" in late.said
    with walks.held(walk_of(one)) as journal:
        assert len(journal.walk.steps) == 1


def test_a_stop_stands_first_and_is_ended_by_saying_so(visit: Open) -> None:
    visitor = visit()
    page = visitor.begin("the fuse holder is too hot to hold")
    assert "STOP:" in page.said
    assert page.said.index("STOP:") < page.said.rindex(page.heading)
    safe = visitor.send(page.form("/safe"))
    assert "STOP:" not in safe.said


def test_an_answer_that_cannot_be_is_questioned_once(visit: Open, walks: Walks) -> None:
    visitor = visit()
    page = visitor.begin("the relay gives one click")
    name = walk_of(visitor)
    page = visitor.go(f"/walks/{name}?ask=voltage battery%2B battery- rest")
    refused = visitor.answered(page, "99 km")
    assert visitor.status == 422
    assert refused.form("/answer").to.endswith("/answer")
    page = visitor.answered(
        visitor.go(f"/walks/{name}?ask=voltage battery%2B battery- rest"), "12.6 V"
    )
    with walks.held(name) as journal:
        assert len(journal.walk.steps) == 1


def finished(visitor: Visitor, rig: str = "bowser") -> Read:
    """The result of a walk of one answer."""
    visitor.begin(CHATTERS, rig)
    return visitor.go(f"{visitor.at}?end=yes")


def test_a_repair_is_proved_and_the_case_closed(visit: Open, walks: Walks) -> None:
    visitor = visit()
    page = finished(visitor)
    form = page.form("/prove")
    unsaid = visitor.send(form, reading="0.05 V")
    assert "Say whether the pump does its job again." in unsaid.said
    with walks.held(walk_of(visitor)) as journal:
        wanted = result_of(journal.walk).verify
    assert wanted is not None
    middle = f"{(wanted.low + wanted.high) / 2:.3f} {wanted.reading.unit}"
    closed = visitor.send(form, runs="yes", load="in-use", reading=middle)
    case = case_at(walks, visitor)
    assert (case.status, case.confirmed_by) == ("closed", "verification")
    assert "closed" in closed.said
    assert visitor.go(f"/walks/{case.id}").said == visitor.go(f"/cases/{case.id}").said


@pytest.mark.parametrize(
    ("end", "typed", "status", "cause"),
    [
        ("/keep", {}, "open", ""),
        ("/other", {"cause": "Motor seized", "by_part": "yes"}, "closed", "motor-seized"),
        ("/other", {"cause": "a mole had eaten the wire"}, "closed", "not-in-the-book"),
    ],
)
def test_how_a_walk_may_end(
    end: str, typed: dict[str, str], status: str, cause: str, visit: Open, walks: Walks
) -> None:
    visitor = visit()
    visitor.send(finished(visitor).form(end), **typed)
    case = case_at(walks, visitor)
    assert (case.status, case.true_cause) == (status, cause)
    assert not walks.unfinished()
    assert case.id in " ".join(visitor.go("/cases").links)
    assert "1 cases say" in visitor.go("/review").said


def test_the_other_pages_are_there(visit: Open) -> None:
    visitor = visit()
    for place in ("/", "/cases", "/review", "/handbook", "/static/page.css", "/static/page.js"):
        visitor.go(place)
        assert visitor.status == 200, place
    finished(visitor)
    visitor.send(Read(visitor.client.get(visitor.at + "?end=yes").text).form("/keep"))
    sheet = visitor.go(f"{visitor.at}?sheet=yes")
    assert "tree-watering bowser" in sheet.said


def photo_with_a_place() -> bytes:
    """A picture in which a camera wrote where it was taken (Exif, tag GPSInfo) and its owner."""
    exif = Image.Exif()
    exif[0x013B] = "Somebody's Name"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (52.0, 31.0, 12.0)
    out = io.BytesIO()
    Image.new("RGB", (2400, 1200), "green").save(out, "JPEG", exif=exif, comment=b"my garden gate")
    return out.getvalue()


def test_a_photo_is_kept_beside_the_case_without_its_place(visit: Open, walks: Walks) -> None:
    visitor, body = visit(), photo_with_a_place()
    assert b"Somebody" in body
    page = visitor.begin(CHATTERS)
    sent = visitor.client.post(page.form("/photo").to, files={"photo": ("x.jpg", body)})
    assert "1 kept" in sent.text
    visitor.send(Read(visitor.client.get(visitor.at + "?end=yes").text).form("/keep"))
    shown = visitor.client.get(f"{visitor.at}/photo/1")
    assert shown.headers["content-type"] == "image/jpeg"
    picture = Image.open(io.BytesIO(shown.content))
    assert picture.size == (1600, 800)
    assert not picture.getexif()
    assert b"Somebody" not in shown.content
    assert b"garden" not in shown.content
    assert visitor.client.get(f"{visitor.at}/photo/2").status_code == 404


@pytest.mark.parametrize("body", [b"", b"GIF89a", b"\xff\xd8\xff", b"<svg/>", b"x" * 11_000_000])
def test_what_is_no_photo_is_refused(visit: Open, walks: Walks, body: bytes) -> None:
    visitor = visit()
    page = visitor.begin(CHATTERS)
    sent = visitor.client.post(page.form("/photo").to, files={"photo": ("../../x.jpg", body)})
    assert sent.status_code in (413, 422)
    assert photos_of(walks.casebook, walk_of(visitor)) == ()


def test_what_a_rig_should_read_is_told(visit: Open, bowser: Bench) -> None:
    page = visit().go("/rigs/bowser")
    reading = reading_of("voltage fuse.in fuse.out calling")
    sound = bowser.healthy.expected(reading)
    assert band(sound.low, sound.high, reading) in page.said


@pytest.mark.parametrize(
    "said",
    [
        "voltage fuse.in fuse.out, asked to run 1.4 V",
        "voltage fuse.in fuse.out calling = 1.4 V",
    ],
)
def test_a_reading_named_as_on_the_screen_is_that_reading(bowser: Bench, said: str) -> None:
    found = hear(bowser, said, "other-loads")
    assert [(one.reading, one.value, one.strength) for one in found.readings] == [
        ("voltage fuse.in fuse.out calling", "1.4 V", "clear")
    ]
    assert (found.matches, found.not_understood) == ((), ())
