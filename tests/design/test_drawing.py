"""The drawings: every test point named once, nothing over anything, probes and volts in place."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import combinations, product
from xml.etree import ElementTree

import pytest

from diagnose.circuit.network import points_on
from diagnose.circuit.rig import TAPS, Rig, bundled_rigs, open_rig, read_rig
from diagnose.design.canvas import Canvas, Overlap
from diagnose.design.drawing import draw, draw_reading, healthy_volts
from diagnose.design.drawing_svg import draw_svg
from diagnose.documents import parse
from diagnose.errors import BadQuantity, UnknownName

WIDTHS = (80, 40)


def rig_of(text: str) -> Rig:
    return read_rig(parse(text, "rig"))


def shapes() -> list[Rig]:
    """Every way to build a rig that a file can say, with odd sizes in it."""
    direct = [
        f"topology: direct\ncontrol: {c}" for c in ("pressure_switch", "float_switch", "manual")
    ]
    relay = [
        f"topology: relay\ncontrol: {control}\nremote: {remote}\ncontrol_tap: {tap}"
        for control, remote, tap in product(
            ("pressure_switch", "float_switch", "manual"), ("true", "false"), TAPS
        )
    ]
    sizes = """
pump: {current: 12.345 A}
wire: {gauge: 120.55 mm^2, length: 99.9 m}
main_fuse: {rating: 37.25 A}
control_fuse: {rating: 0.125 A}
relay: {contact: 1000 A, coil: 1999 ohm}
battery: {kind: flooded, capacity: 1234.5 A*h}
"""
    return [rig_of(shape + sizes) for shape in (*direct, *relay)]


SHAPES = [*shapes(), *map(open_rig, bundled_rigs())]


def named(drawing: str, points: Sequence[str]) -> list[str]:
    """Every name of a test point in the drawing itself, the longest first, since a name may end
    like another one."""
    body = drawing.split("\n\n", 1)[1].rsplit("\n\n", 1)[0]
    lines = [line for line in body.splitlines() if "control, from" not in line]
    text = "\n".join(lines).replace("to ground", "")
    found = []
    for point in sorted(points, key=len, reverse=True):
        found += re.findall(re.escape(point), text)
        text = text.replace(point, "")
    return found


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize(
    "rig", SHAPES, ids=lambda rig: f"{rig.topology}-{rig.control}-{rig.remote}"
)
def test_every_test_point_is_named_once(rig: Rig, width: int) -> None:
    """An overlap raises while drawing."""
    points = points_on(rig)

    drawing = draw(rig, width, volts=dict.fromkeys(points, "12.34 V"))

    assert sorted(named(drawing, points)) == sorted(points)
    assert max(map(len, drawing.splitlines())) <= width
    assert drawing.count("●") == len(points)


@pytest.mark.parametrize("width", WIDTHS)
def test_probes_can_be_marked_anywhere(width: int) -> None:
    for rig in SHAPES:
        volts = dict.fromkeys(points_on(rig), "12.34 V")
        for red in points_on(rig):
            drawing = draw(rig, width, probes={red: "RED"}, volts=volts)
            assert drawing.count("RED") == 1
            assert max(map(len, drawing.splitlines())) <= width


def test_ascii_is_ascii() -> None:
    for rig, width in product(SHAPES, WIDTHS):
        assert draw(rig, width, ascii_only=True).isascii()


def test_a_drawing_as_it_looks() -> None:
    """Drawn by hand first, then compared: the feed on top, the return below, control between."""
    expected = """\
propagation mist bench

           lug+  fuse.in   fuse.out master.in  master.out
     +======o=======o==[10 A]=o=========o==[ / ]===o=====+
     |              main fuse        master switch       |
     |                                                   |
     o battery+                                          o pswitch.in
   [12 V] flooded 60 A h                               [ / ]  pressure switch
     o battery-                                          o pswitch.out
     |                                                   |
     |                                               RED>o motor+
     |                                                  (M)   pump 7.5 A
     |                                               BLK>o motor-
     |                            4 mm2                  |
     +======o=================o==========================+
           lug-             ground

Thick: 4 mm2, 9.84 ft (3 m) one way, 10 A fuse 6 in from the battery."""

    assert draw_reading(open_rig("mist-bench"), "motor+", "motor-", 80, True) == expected


@pytest.mark.parametrize(
    ("red", "black", "error"),
    [
        ("motor+", "motor+", BadQuantity),
        ("motor+", "relay.85", UnknownName),
        ("moter+", "motor-", UnknownName),
    ],
)
def test_probes_go_on_two_points_that_the_rig_has(
    red: str, black: str, error: type[Exception]
) -> None:
    with pytest.raises(error):
        draw_reading(open_rig("mist-bench"), red, black)


def test_volts_fall_along_the_way_of_the_current() -> None:
    volts = healthy_volts(open_rig("bowser"))
    way = ("battery+", "fuse.out", "master.out", "relay.87", "motor+")

    values = [float(volts[point].removesuffix(" V")) for point in way]

    assert values == sorted(values, reverse=True)
    assert volts["battery-"] == "0 V"


def test_a_canvas_refuses_to_write_over_anything() -> None:
    canvas = Canvas(ascii_only=True)
    canvas.line(0, 0, 5, 0, "heavy")
    canvas.sign(2, 0, "o")
    canvas.words(0, 1, "fuse.in")

    with pytest.raises(Overlap):
        canvas.words(3, 0, "on a line")
    with pytest.raises(Overlap):
        canvas.words(4, 1, "on a word")
    with pytest.raises(Overlap):
        canvas.sign(0, 0, "[20 A]")
    assert str(canvas) == "==o===\nfuse.in"


# --- the picture ----------------------------------------------------------------------------------

SVG = "{http://www.w3.org/2000/svg}"


def texts(picture: str) -> list[tuple[str, float, float, str]]:
    """Every text of an SVG with its place and its anchor."""
    found = []
    for element in ElementTree.fromstring(picture).iter(f"{SVG}text"):
        for part in element.iter(f"{SVG}tspan"):
            place = [float(element.get(name) or part.get(name) or 0) for name in ("x", "y")]
            style = f"{element.get('style', '')}{element.get('text-anchor', '')}"
            anchor = next((one for one in ("middle", "end") if one in style), "start")
            found.append(("".join(part.itertext()), place[0], place[1], anchor))
    return found


@pytest.mark.parametrize(
    "rig", SHAPES, ids=lambda rig: f"{rig.topology}-{rig.control}-{rig.remote}"
)
def test_the_picture_names_every_point_and_marks_the_probes(rig: Rig) -> None:
    volts = {point: f"12.{n:02} V" for n, point in enumerate(points_on(rig))}

    words = [text for text, *_ in texts(draw_svg(rig, {"motor+": "RED", "ground": "BLK"}, volts))]

    for word in (*points_on(rig), *volts.values(), "RED", "BLK"):
        assert words.count(word) == 1, word


@pytest.mark.parametrize("name", bundled_rigs())
def test_no_text_of_the_picture_lies_on_another(name: str) -> None:
    """Letters of 11 points are taken as 7 wide and 11 high; sans-serif ones are narrower. A probe
    at every point at once: of two of these only one is ever shown."""
    rig = open_rig(name)
    boxes = []
    for text, x, y, anchor in texts(draw_svg(rig, all_red(rig), healthy_volts(rig))):
        width = 6.6 * len(text)
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        boxes.append((text, left, y, left + width))

    assert [text for text, *_ in boxes].count("RED") == len(points_on(rig))
    for (a, left, y, right), (b, start, other, end) in combinations(boxes, 2):
        beside = right <= start or end <= left
        assert beside or abs(y - other) >= 10 or a == b == "RED", (a, b)


def all_red(rig: Rig) -> dict[str, str]:
    """The red probe at every point of a rig."""
    return dict.fromkeys(points_on(rig), "RED")


def test_a_probe_at_87a_does_not_lie_on_the_contact_beside_it() -> None:
    places = {text: x for text, x, *_ in texts(draw_svg(open_rig("bowser"), {"relay.87a": "RED"}))}

    assert places["RED"] > places["relay.87a"]


def test_a_picture_survives_a_rig_with_a_hostile_name() -> None:
    rig = rig_of(
        'name: "<script>&amp; $x_1$ \\\\Omega ]]>"\ntopology: direct\npump: {current: 5 A}'
    )

    picture = draw_svg(rig)

    assert not list(ElementTree.fromstring(picture).iter(f"{SVG}script"))
