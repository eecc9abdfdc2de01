"""Text to floats and back: the one place where units are known, and the only one that imports pint.

`read_quantity` takes what a person types ("11,8 V", "420 mV", "14 ft") and gives a float in the
unit the program works in; `show_quantity` goes the other way; `read_gauge` reads a wire size.

The units are those of the trade and no others, so that "5 a" cannot be five years. They are
defined in `_DEFINITIONS`, in pint's own notation; pint does all arithmetic on them. It is imported
only when a unit really has to be converted, and each conversion is worked out once.
"""

import math
import re
from enum import Enum, auto
from functools import lru_cache
from typing import TYPE_CHECKING, Any, NoReturn

from diagnose.errors import BadQuantity, Place, nearest, quoted

if TYPE_CHECKING:
    import pint

# Prefixes and SI units: the SI Brochure (BIPM, 9th edition, 2019), from memory. Inch, foot, yard
# and pound: international agreement of 1959, exact, from memory. US liquid gallon: 231 cubic
# inches, exact (NIST Handbook 44, appendix C), from memory. The tests compare all of them with
# the definitions that pint ships.
_DEFINITIONS = """
micro- = 1e-6 = µ- = μ- = u-
milli- = 1e-3 = m-
centi- = 1e-2 = c-
kilo- = 1e3 = k-
mega- = 1e6 = M- = meg-
meter = [length] = m = metre
second = [time] = s = sec
kilogram = [mass] = kg
ampere = [current] = A = amp
kelvin = [temperature]; offset: 0 = K
degree_Celsius = kelvin; offset: 273.15 = degC = celsius
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF = fahrenheit
percent = 0.01
minute = 60 * second = min
hour = 60 * minute = h = hr
inch = 0.0254 * meter = in = inches
foot = 12 * inch = ft = feet
yard = 3 * foot = yd
gallon = 231 * inch ** 3 = gal
liter = 1e-3 * meter ** 3 = L = l = litre
newton = kilogram * meter / second ** 2 = N
pound_force = 0.45359237 * 9.80665 * newton = lbf
pascal = newton / meter ** 2 = Pa
bar = 1e5 * pascal
psi = pound_force / inch ** 2
joule = newton * meter = J
watt = joule / second = W
volt = watt / ampere = V
ohm = volt / ampere
ampere_hour = ampere * hour = Ah
"""

# How people write a unit, where that differs from the definitions.
_WRITTEN = """
    v=V mv=mV kv=kV Volt=V Volts=V VDC=V Vdc=V a=A ma=mA Amp=A Amps=A ah=Ah mah=mAh w=W kw=kW
    Ohm=ohm Ohms=ohm OHM=ohm mOhm=mohm Kohm=kohm KOhm=kohm kOhm=kohm MOhm=Mohm
    PSI=psi Psi=psi kpa=kPa Bar=bar gpm=gal/min GPM=gal/min lpm=L/min LPM=L/min sqmm=mm^2 %=percent
"""
_SPELLINGS = dict(pair.split("=") for pair in _WRITTEN.split())
_PREFIXES = (("m", 1e-3), ("", 1.0), ("k", 1e3), ("M", 1e6))
_POINT = str.maketrans({",": ".", "−": "-"})
_SIGNS = str.maketrans(  # the first two are the Greek letter omega and the ohm sign
    {"\u03a9": "ohm", "\u2126": "ohm", "²": "^2", "³": "^3", "·": "*", "º": "°"}
)
_TEMPERATURES = {"C": "degC", "c": "degC", "F": "degF", "f": "degF"}  # only where one is wanted

_KINDS = {
    "V": ("a voltage", "12.6 V"),
    "A": ("a current", "14 A"),
    "ohm": ("a resistance", "0.05 ohm"),
    "W": ("a power", "150 W"),
    "A*h": ("a battery capacity", "90 A*h"),
    "mm^2": ("a cross-section", "6 mm2"),
    "degC": ("a temperature", "40 degC"),
    "": ("a plain number", "0.8"),
    **dict.fromkeys(("m", "ft", "in", "cm", "mm"), ("a length", "14 ft")),
    **dict.fromkeys(("psi", "Pa", "kPa", "bar"), ("a pressure", "50 psi")),
    **dict.fromkeys(("gal/min", "L/min", "m^3/s"), ("a flow rate", "4 gal/min")),
    **dict.fromkeys(("s", "min", "h"), ("a time", "5 min")),
}
_COMMON = (
    *_KINDS,
    "mm2",
    "mohm",
    "kohm",
    "Mohm",
    "degF",
    "volts",
    "amps",
    "ohms",
    "feet",
    "inches",
)

_LONGEST = 60
_NUMBER = r"([-+−]?(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:[eE][-+]?[0-9]+)?)"
_QUANTITY = re.compile(rf"\s*{_NUMBER}\s*([^\s0-9.,_'’].*?)?\s*", re.DOTALL)
_UNCLEAR_COMMA = re.compile(r"[-+−]?[1-9][0-9]{0,2},[0-9]{3}(?![0-9])")
_GROUPED = re.compile(r"\s*[-+−]?[0-9]+(?:[.,'’_\s]+[0-9]+)+")
_UNIT = re.compile(r"[A-Za-zµμ]+(\^[23])?([*/ ][A-Za-zµμ]+(\^[23])?){0,4}")
_SIZE = r"(?:0{1,4}|[1-9]|[1-3][0-9]|40|[1-4]/0)"
_GAUGE = re.compile(rf"\s*(?:AWG\s*({_SIZE})|({_SIZE})\s*AWG)\s*", re.IGNORECASE)


def read_quantity(text: str | int | float, unit: str, place: Place | None = None) -> float:
    """What was written, as a float in `unit`.

    text: a number with its unit ("14 A", "11,8 V", "-3 °C"), or a bare number in `unit`
    unit: the unit wanted, such as "V", "ohm", "A*h", "mm^2", "gal/min"; "" for a plain ratio
    place: where it was written, for the message

    A gallon is the US liquid gallon. "C" and "F" are temperatures where one is wanted. A comma
    before three digits is refused, since "1,500" is one and a half to some and 1500 to others.
    Raises BadQuantity for anything that is not one finite number in a unit of that kind.
    """
    if not isinstance(text, str):
        return _finite(text, text, unit, place)
    found = _QUANTITY.fullmatch(text) if len(text) <= _LONGEST else None
    if found is None or _UNCLEAR_COMMA.match(found[1]):
        _refuse_form(text, unit, place)
    value = _finite(float(found[1].translate(_POINT)), text, unit, place)
    if found[2] is None or found[2] == unit:
        return value
    conversion = _conversion(found[2], unit)
    if isinstance(conversion, _NoWay):
        _refuse_unit(text, found[2], unit, conversion, place)
    factor, offset = conversion
    return _finite(value * factor + offset, text, unit, place)


def show_quantity(value: float, unit: str) -> str:
    """`value`, given in `unit`, as a meter would show it: 0.0123 V is "12 mV", 11.234 V "11.23 V".

    Volts, amperes, ohms and watts change to milli, kilo or mega as needed; other units stay. What
    is shown can be read back by `read_quantity`, to the last digit shown.
    """
    if not math.isfinite(value):
        return f"{value} {unit}".rstrip()
    prefixes = _PREFIXES if unit in ("V", "A", "ohm", "W") else (("", 1.0),)
    for prefix, scale in prefixes:
        digits = _digits(value / scale, whole=prefix == "m")
        if abs(float(digits)) < 1000:
            break
    return f"{digits} {prefix}{unit}".rstrip() if float(digits) else f"0 {unit}".rstrip()


def read_gauge(text: str | int | float, place: Place | None = None) -> float:
    """The copper cross-section of a wire size. [mm^2]

    text: an American wire gauge ("8 AWG", "1/0 AWG", 4/0 to 40) or an area ("6 mm2"); a bare
        number is refused, since it could be either

    Source: ASTM B258, standard nominal diameters of AWG wire: 0.005 in at 36 AWG, 0.46 in at 4/0,
    39 equal ratios between them (seen as reported by an encyclopaedia; the standard was not seen).
    """
    if not isinstance(text, str) or not any(c.isalpha() for c in text):
        wanted = "say AWG or mm2, such as '8 AWG' or '6 mm2'"
        raise BadQuantity(f"{_echo(text)} could be a gauge or an area; {wanted}", place)
    if found := _GAUGE.fullmatch(text) if len(text) <= _LONGEST else None:
        return _gauge_area(found[1] or found[2])
    if "awg" in text.lower():
        raise BadQuantity(f"{quoted(text)} is no gauge; they run from 4/0 AWG to 40 AWG", place)
    area = read_quantity(text, "mm^2", place)
    if area <= 0:
        raise BadQuantity(f"{quoted(text)} is not a wire size; it must be above 0", place)
    return area


def show_gauge(text: str) -> str:
    """A wire size as cable is printed, an area in mm2 however its power was typed."""
    return re.sub(r"(\^|\*\*)2|²", "2", " ".join(text.split()))


def gauge_text(area: float) -> str:
    """A wire size as cable is printed, read back as exactly `area` [mm^2]."""
    american = (f"{size} AWG" for size in ("4/0", "3/0", "2/0", "1/0", *range(1, 41)))
    metric = f"{repr(area).removesuffix('.0')} mm2"
    return next((one for one in american if read_gauge(one) == area), metric)


def is_metric(gauge: str) -> bool:
    """Whether a wire size that `read_gauge` takes is an area, and not an American gauge."""
    return "awg" not in gauge.lower()


def _gauge_area(size: str) -> float:
    """Area of a solid round wire of that gauge, such as "8", "1/0" or "00". [mm^2]"""
    zeros = int(size[0]) if size.endswith("/0") else len(size) - len(size.lstrip("0"))
    number = 1 - zeros if zeros else int(size)
    diameter: float = 25.4 * 0.005 * 92.0 ** ((36 - number) / 39)
    return math.pi / 4 * diameter * diameter


def _finite(value: int | float, text: str | int | float, unit: str, place: Place | None) -> float:
    """`value` as a float, refused unless it is an ordinary number."""
    try:
        number = math.nan if isinstance(value, bool) else float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise BadQuantity(f"{_echo(text)} is not a usable number; {_wanted(unit)}", place)
    return number


def _echo(value: str | int | float) -> str:
    """What was given, in quotation marks; also an integer too long for Python to write out."""
    huge = isinstance(value, int) and value.bit_length() > 200
    return "a number of this size" if huge else quoted(str(value))


def _wanted(unit: str) -> str:
    """What should have been written, as the second half of a sentence."""
    kind, example = _KINDS.get(unit, (f"a quantity in {unit}", f"1 {unit}"))
    return f"{kind} is wanted here, such as '{example}'"


def _refuse_form(text: str, unit: str, place: Place | None) -> NoReturn:
    """Raise the sentence for a text that is not one number and a unit."""
    if _GROUPED.match(text[:_LONGEST]):
        why = "has a mark that may separate thousands; write the digits plainly, such as 1234.5"
    else:
        why = f"is not a number with a unit; {_wanted(unit)}"
    raise BadQuantity(f"{quoted(text)} {why}", place)


def _refuse_unit(
    text: str, written: str, unit: str, why: "_NoWay", place: Place | None
) -> NoReturn:
    """Raise the sentence for a unit that cannot become `unit`."""
    if why is _NoWay.OTHER_KIND:
        raise BadQuantity(f"{quoted(text)} is another kind of quantity; {_wanted(unit)}", place)
    near = nearest(written, _COMMON) if len(written) > 2 else None
    hint = f" (did you mean {quoted(near)}?)" if near else ""
    unknown = f"has an unknown unit {quoted(written)}{hint}"
    raise BadQuantity(f"{quoted(text)} {unknown}; {_wanted(unit)}", place)


class _NoWay(Enum):
    UNKNOWN = auto()
    OTHER_KIND = auto()


@lru_cache(maxsize=1024)
def _conversion(written: str, unit: str) -> tuple[float, float] | _NoWay:
    """(factor, offset): a value as written, times factor, plus offset, is the value in `unit`."""
    spelled = _spelled(written, unit)
    if spelled == unit:
        return 1.0, 0.0
    if not _UNIT.fullmatch(spelled):
        return _NoWay.UNKNOWN
    registry, pint_error = _registry()
    target = registry.parse_units(unit)
    try:
        source = registry.parse_units(spelled)
    except (pint_error, ValueError):  # ValueError: a word that pint takes for a number, "nan"
        return _NoWay.UNKNOWN
    if source.dimensionality != target.dimensionality:
        return _NoWay.OTHER_KIND
    offset = float(registry.convert(0.0, source, target))
    return float(registry.convert(1.0, source, target)) - offset, offset


def _spelled(written: str, unit: str) -> str:
    """A unit as people write it, in the spelling of the definitions."""
    text = re.sub(r"\s*([*/])\s*", r"\1", written.translate(_SIGNS).replace("**", "^"))
    text = re.sub(r"^(°|deg)\s*(?=[CF]$)", "deg", text)
    if unit == "degC":
        text = _TEMPERATURES.get(text, text)
    return re.sub(r"(?<=[A-Za-z])([23])$", r"^\1", _SPELLINGS.get(text, text))


@lru_cache(maxsize=1)
def _registry() -> "tuple[pint.UnitRegistry[Any], type[Exception]]":
    """The one registry, and the error it raises; built when first needed."""
    import pint

    return pint.UnitRegistry(_DEFINITIONS.strip().splitlines()), pint.PintError


def _digits(value: float, whole: bool) -> str:
    """`value` with as many digits as are worth showing, without trailing zeros."""
    size = abs(value)
    if whole:
        text = f"{value:.{0 if size >= 10 else 1 if size >= 1 else 2}f}"
    elif 1 <= size < 1e6:
        text = f"{value:.{0 if size >= 1000 else 1 if size >= 100 else 2}f}"
    else:
        text = f"{value:.4g}" if size >= 1 else f"{value:.3g}"
    return text.rstrip("0").rstrip(".") if "." in text and "e" not in text else text
