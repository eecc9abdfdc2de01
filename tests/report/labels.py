"""Labels of common and of strange rigs, and one as a reader has it: its words where they stand, and
its code as a phone sees it. Every rig here is invented."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from xml.etree import ElementTree

import numpy as np
import pytest

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.rig import Rig, read_rig
from diagnose.documents import parse
from diagnose.report.label import Label
from diagnose.report.label_svg import label_svg
from diagnose.report.sheet import Sheet

SVG = "{http://www.w3.org/2000/svg}"
RUN = re.compile(r"M(\d+) (\d+)h(\d+)v1h-(\d+)z")
PIXELS = 4
"""Of a module."""


NAMES = {
    "markup": "</text><script>alert(1)</script>&amp;\"'",
    "wide": f"W{'w' * 99}",
    "hidden": "a\u202eb\u200bc\x1b[31m",
    "letters": "Käthes Щётка ÆØÅ œuvre",
    "squares": "日本語の灌水トレーラー第二号機",
    "others": "ﷺ 🚰🚰🚰 عربية ᠮᠣᠩᠭᠣᠯ",
    "long": "very long names " * 6,
}


@dataclass(frozen=True)
class Word:
    """One line of a label; size, x and y in millimetres."""

    said: str
    size: float
    bold: bool
    x: float
    y: float
    anchor: str
    pressed: float | None

    def ends(self, wide: float) -> tuple[float, float]:
        """From where to where it goes, if it is that wide."""
        before = {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor]
        return self.x - before * wide, self.x + (1 - before) * wide


@dataclass(frozen=True)
class Printed:
    """A label taken apart."""

    root: ElementTree.Element

    @property
    def size(self) -> tuple[float, float]:
        """Width and height [mm]."""
        box = [float(one) for one in self.root.attrib["viewBox"].split()]
        assert box[:2] == [0, 0]
        assert self.root.attrib["width"] == f"{box[2]:.2f}mm"
        assert self.root.attrib["height"] == f"{box[3]:.2f}mm"
        return box[2], box[3]

    @property
    def words(self) -> Iterator[Word]:
        for one in self.root.iter(f"{SVG}text"):
            told = one.attrib
            yield Word(
                one.text or "",
                float(told["font-size"]),
                told.get("font-weight") == "bold",
                float(told["x"]),
                float(told["y"]),
                told.get("text-anchor", "start"),
                float(told["textLength"]) if "textLength" in told else None,
            )

    @property
    def said(self) -> str:
        return " ".join(one.said for one in self.words)

    @property
    def module(self) -> float:
        """The side of a module of its code [mm]."""
        (group,) = self.root.iter(f"{SVG}g")
        return float(group.attrib["transform"].split("scale(")[1].rstrip(")"))

    @property
    def dark(self) -> np.ndarray:
        """The modules of its code, the white round them left out, 1 where they are dark."""
        runs = [
            tuple(map(int, run))
            for path in self.root.iter(f"{SVG}path")
            for run in RUN.findall(path.attrib["d"])
        ]
        side = max(x + n for x, _, n, _ in runs)
        found = np.zeros((side, side), np.uint8)
        for x, y, n, back in runs:
            assert n == back
            found[y, x : x + n] = 1
        assert not found[:4].any()
        assert not found[:, :4].any()
        return found[4:, 4:]

    @property
    def scanned(self) -> str:
        """What a reader of codes makes of it. Skips where there is none."""
        zxing = pytest.importorskip("zxingcpp")
        image = np.kron(np.pad(self.dark, 4), np.ones((PIXELS, PIXELS), np.uint8))
        (found,) = zxing.read_barcodes((255 * (1 - image)).astype(np.uint8))
        return str(found.text)


def printed(svg: str) -> Printed:
    return Printed(ElementTree.fromstring(svg))


@cache
def label_of(rig: Rig, address: str = "") -> Label:
    return Label(Sheet(rig, for_rig(shipped_catalogue(), rig)), address)


@cache
def worst() -> Rig:
    """As many parts as nobody has, all with the widest names that a file may give."""
    fuses = [f"  - fuse: {{name: f{n} {'W' * 26}, rating: 20 A}}" for n in range(14)]
    plugs = [f"  - plug: {{name: p{n} {'M' * 26}, rating: 50 A}}" for n in range(14)]
    rows = (
        f"name: {'W' * 100}",
        "feed:",
        *fuses,
        *plugs,
        "  - relay: {contact: 80 A, coil: 90 ohm}",
        "control:",
        "  tap: lug+",
        "  parts:",
        "    - fuse: {rating: 3 A}",
        "    - pressure_switch",
        "pump: {current: 18 A}",
    )
    return read_rig(parse("\n".join(rows), "worst"))


def svg_of(rig: Rig, width: float, address: str = "https://example.org/rigs/1") -> str:
    return label_svg(label_of(rig, address), width)


def drawn(rig: Rig, width: float, address: str = "https://example.org/rigs/1") -> Printed:
    return printed(svg_of(rig, width, address))
