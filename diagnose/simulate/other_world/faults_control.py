"""What fails in relay, control circuit, float and pressure switch."""

from __future__ import annotations

from diagnose.simulate.other_world.build import Random, decades
from diagnose.simulate.other_world.faults import (
    CONTROL,
    bad_joint,
    fault,
    likely,
    loosened,
    one_of,
)
from diagnose.simulate.other_world.parts import Works

BY_HAND = "pressure-switch-by-hand"


@fault("hand-switch-open")
def _hand(works: Works, random: Random) -> None:
    if likely(random, 0.25):
        bad_joint(works, random, "hand")
    else:
        works.cut("hand")


@fault("left-switched-off")
def _left_off(works: Works, random: Random) -> None:
    """Isolator, own switch or receiver off; a gun not opened leaves the pressure switch open."""
    shares = {"master": 0.55, "hand": 0.25, "remote": 0.2, "pswitch": 0.1}
    if not works.rig.has_relay:
        shares.pop("hand")
    left = {name: share for name, share in shares.items() if works.has(name)}
    odds = [share / sum(left.values()) for share in left.values()]
    works.cut(str(random.choice(list(left), p=odds)))


@fault("relay-coil-open")
def _coil_open(works: Works, random: Random) -> None:
    """Burnt through; or it parts when warm or shaken."""
    if likely(random, 0.2):
        loosened(works, random, "coil", quick=0.1)
    else:
        works.cut("coil")


@fault("relay-coil-shorted")
def _coil_shorted(works: Works, random: Random) -> None:
    if likely(random, 0.6):
        works.join("shunt", "relay.86", "relay.85", decades(random, 0.03, 40))
    else:
        works.coil.ohms /= decades(random, 1.5, 30)
        works.coil.warm = float(random.uniform(30, 90))


@fault("relay-contacts-resistive")
def _pitted(works: Works, random: Random) -> None:
    bad_joint(works, random, "contact")


@fault("relay-contacts-open")
def _no_contact(works: Works, random: Random) -> None:
    if likely(random, 0.25):
        loosened(works, random, "contact", quick=0.1)
    else:
        works.cut("contact")


def _sticks(works: Works, path: str) -> None:
    """It has let go again; what it did is remembered."""
    works.add(path, 0.003)
    works.signs["pump-when-satisfied"] = {"keeps-running": 0.7}


@fault("relay-contacts-welded")
def _welded(works: Works, random: Random) -> None:
    if likely(random, 0.2):
        _sticks(works, "contact")
    else:
        works.stuck["contact"] = "closed"


@fault("relay-underrated")
def _small_relay(works: Works, random: Random) -> None:
    end = random.random()
    if end < 0.55:
        works.add("contact", decades(random, 0.006, 1))
    elif end < 0.8:
        works.stuck["contact"] = "closed"
    else:
        _sticks(works, "contact")


@fault("relay-high-draw-coil")
def _heavy(works: Works, random: Random) -> None:
    works.coil.ohms = decades(random, 3, 20)
    works.coil.warm = float(random.uniform(20, 80))


@fault("relay-miswired")
def _wrong_pins(works: Works, random: Random) -> None:
    """The very wires on the very wrong pins."""
    how = random.random()
    if how < 0.45:
        works.move("feed_3", a="relay.87a")
    elif how < 0.75:
        works.move("feed_2", b="relay.86")
        works.move("hand", b="relay.30")
    else:
        works.move("coil_ground", a="relay.87a" if likely(random, 0.3) else "nowhere")


@fault("relay-socket-resistive")
def _socket(works: Works, random: Random) -> None:
    """The terminal of 30, less often that of 87."""
    bad_joint(works, random, "socket" if likely(random, 0.75) else "feed_3")


@fault("relay-coil-ground-resistive")
def _coil_ground(works: Works, random: Random) -> None:
    if likely(random, 0.4):
        works.cut("coil_ground")
    else:
        bad_joint(works, random, "coil_ground")


@fault("control-fuse-blown")
def _control_fuse(works: Works, random: Random) -> None:
    works.control.open = True


@fault("control-fuse-holder-corroded")
def _control_holder(works: Works, random: Random) -> None:
    bad_joint(works, random, "control_holder")


def _thin_wires(works: Works) -> list[str]:
    names = ["tap", "control_1", "control_link", "control_2"]
    return [name for name in names if works.has(name)]


@fault("control-wire-open")
def _control_open(works: Works, random: Random) -> None:
    name = one_of(random, _thin_wires(works))
    if likely(random, 0.2):
        loosened(works, random, name)
    else:
        works.cut(name)


@fault("control-joint-resistive")
def _control_joint(works: Works, random: Random) -> None:
    name = one_of(random, _thin_wires(works))
    if likely(random, 0.25):
        loosened(works, random, name, quick=0.8)
    else:
        bad_joint(works, random, name)


@fault("control-wire-shorted")
def _control_short(works: Works, random: Random) -> None:
    """To metal before the switches or after them, for good or at times."""
    if likely(random, 0.3):
        works.control_flashes = True
        return
    at = "cfuse.out" if likely(random, 0.6) else "relay.86"
    works.join("control_short", at, "ground", decades(random, 0.02, 3))


@fault("control-miswired")
def _control_wrong(works: Works, random: Random) -> None:
    how = random.random()
    if how < 0.45:
        works.move("tap", a=one_of(random, ["relay.87", "nowhere"]))
    elif how < 0.75:
        works.move("coil_ground", b=one_of(random, ["nowhere", "fuse.out"]))
    else:
        path = works.paths[works.calls_by]
        works.join("bypass", path.a, path.b, 0.05)


@fault("control-diode-reversed")
def _diode(works: Works, random: Random) -> None:
    works.coil.diode = works.coil.diode_wrong = True


@fault("remote-no-output")
def _receiver(works: Works, random: Random) -> None:
    if likely(random, 0.3):
        bad_joint(works, random, "remote")
    else:
        works.cut("remote")


@fault("remote-transmitter-dead")
def _transmitter(works: Works, random: Random) -> None:
    works.cut("remote")


@fault("float-stuck-open")
def _float_open(works: Works, random: Random) -> None:
    if likely(random, 0.25):
        bad_joint(works, random, "float")
    else:
        works.stuck["float"] = "open"


@fault("float-stuck-closed")
def _float_closed(works: Works, random: Random) -> None:
    works.stuck["float"] = "closed"


@fault("float-inverted")
def _float_turned(works: Works, random: Random) -> None:
    works.float_upside_down = True


@fault("pressure-switch-burnt")
def _burnt(works: Works, random: Random) -> None:
    bad_joint(works, random, "pswitch")


@fault("pressure-switch-open")
def _switch_open(works: Works, random: Random) -> None:
    works.stuck["pswitch"] = "open"
    works.signs[BY_HAND] = {"never-closes": 0.95}


@fault("pressure-switch-welded")
def _switch_welded(works: Works, random: Random) -> None:
    if likely(random, 0.2):
        _sticks(works, "pswitch")
    else:
        works.stuck["pswitch"] = "closed"
        works.signs[BY_HAND] = {"never-opens": 0.95}


@fault("pressure-switch-set-high")
def _set_high(works: Works, random: Random) -> None:
    works.high = works.water.bypass * float(random.uniform(1.0, 1.8))
    works.low = 0.75 * works.high


@fault("pressure-switch-narrow")
def _narrow(works: Works, random: Random) -> None:
    """Cut-out at the working pressure or below; or cut-in close under cut-out."""
    works.high = works.water.rated * float(random.uniform(0.6, 1.08))
    works.low = works.high * float(random.uniform(0.7, 0.96))


@fault("pressure-switch-port-blocked")
def _port(works: Works, random: Random) -> None:
    works.stuck["pswitch"] = "closed" if likely(random, 0.6) else "open"


@fault("pressure-switch-wet")
def _wet(works: Works, random: Random) -> None:
    how = random.random()
    if how < 0.55:
        bad_joint(works, random, "pswitch")
    elif how < 0.8:
        works.stuck["pswitch"] = "open"
        works.signs[BY_HAND] = {"never-closes": 0.95}
    else:
        path = works.paths["pswitch"]
        ohms = (
            decades(random, 3, CONTROL[1] / 10)
            if works.rig.has_relay
            else decades(random, 0.3, 100)
        )
        works.join("residue", path.a, path.b, ohms)
