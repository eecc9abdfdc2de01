"""The answers of a walk as one line of text, with a check, and the line found in a message again.

    pump1:5KQ2ZD:9f03ab1c22de:phone;relay-chatters;other-loads=fine;wiring-look=?;!too-hot;
    voltage~fuse.in~fuse.out~calling=420mV#7T0QX9

    pump1           the form of this line
    5KQ2ZD          the rig: six signs of a checksum over its rig file's text
    9f03ab1c22de    the edition of the book (casebook.walk_case.knowledge_version)
    phone,~voltmeter   what the person can do, in the words of the kit
    relay-chatters  the complaint, by its id
    TEST=ANSWER     an answer by its ids, or a value as it was typed, its gap left out
    TEST=?          it cannot be told
    !STOP           a stop that was made safe
    #7T0QX9         six signs of a checksum over all that stands before the #

Ids never change their meaning, so a line is read by every later edition. Gaps do not count, since
messages break long lines; a gap inside a name is written `~`, a sign that could be taken for one of
the line's own as %XX (RFC 3986). Checksums are CRC-32 (ISO 3309, from
memory) modulo 2**30, in Crockford's alphabet of 32 signs, which leaves out I, L, O and U: that
finds every slip of up to a few signs, and lets one spoiled line in a thousand million pass.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import quote, unquote
from zlib import crc32

from diagnose.casebook.case_file import rig_yaml
from diagnose.casebook.walk_case import knowledge_version
from diagnose.circuit.rig import Rig
from diagnose.errors import DiagnoseError

FORM = "pump1"
SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
CHECKED = 6
"""Signs of a checksum, five bits each."""

LONGEST = 20_000
"""Characters of a message that are looked through."""

UNKNOWN, SAFE, PART = "?", "!", ";"

_LINE = re.compile(
    rf"{FORM}:(?P<rig>[^:#]*):(?P<book>[^:#]*):(?P<parts>[^#]*)#(?P<check>\w{{{CHECKED}}})"
)


class BadCode(DiagnoseError):
    """A text without a line of answers, or with one that was spoiled on its way."""


@dataclass(frozen=True)
class Code:
    """A line of answers. means: what the person can do, in words; complaint: an id; answers: tests
    with what was answered, UNKNOWN among them, and stops as (SAFE, id), in their order."""

    rig: str
    book: str
    means: str
    complaint: str
    answers: tuple[tuple[str, str], ...]


def checksum(text: str) -> str:
    """Six signs over a text of plain signs."""
    left, found = crc32(text.encode()) % 2 ** (5 * CHECKED), ""
    for _ in range(CHECKED):
        left, sign = divmod(left, len(SIGNS))
        found = SIGNS[sign] + found
    return found


def rig_code(rig: Rig) -> str:
    """What stands for a rig: changed when anything of its rig file changes."""
    return checksum(rig_yaml(rig))


def opening(rig: Rig) -> str:
    """What every line of a page begins with."""
    return f"{FORM}:{rig_code(rig)}:{knowledge_version()}:"


def written(code: Code) -> str:
    """The line."""
    parts = [plain(code.means), plain(code.complaint)]
    for test, answer in code.answers:
        said = f"{SAFE}{plain(answer)}" if test == SAFE else f"{plain(test)}={close(answer)}"
        parts.append(said)
    whole = f"{FORM}:{code.rig}:{code.book}:{PART.join(parts)}"
    return f"{whole}#{checksum(whole)}"


def plain(name: str) -> str:
    """An id as it stands in the line."""
    return quote(name, safe="+@, ").replace("~", "%7E").replace(" ", "~")


def close(answer: str) -> str:
    """An answer as it stands in the line: without its gap."""
    return answer if answer == UNKNOWN else quote("".join(answer.split()), safe="+")


def read(text: str) -> Code:
    """The line of answers in a message. Raises BadCode."""
    close = "".join(text[:LONGEST].split())
    found = _LINE.search(close)
    if found is None:
        raise BadCode(
            f"There is no line of answers in this text: it begins with {FORM}: and ends with # and "
            f"{CHECKED} signs; copy all of the text of the page."
        )
    whole = found[0].rpartition("#")[0]
    if checksum(whole) != found["check"].upper():
        raise BadCode(
            "The line of answers was spoiled on its way, its last signs do not fit the rest; ask "
            "for it once more, copied and not typed."
        )
    means, complaint, *answers = f"{found['parts']}{PART}".split(PART)
    said = tuple(_part(one) for one in answers if one)
    return Code(found["rig"], found["book"], _name(means), _name(complaint), said)


def _part(text: str) -> tuple[str, str]:
    if text.startswith(SAFE):
        return SAFE, _name(text.removeprefix(SAFE))
    test, _, answer = text.partition("=")
    return _name(test), unquote(answer)


def _name(text: str) -> str:
    return unquote(text.replace("~", " "))
