"""How not to be hurt, at the step where it matters. A caution is shown; it is never a tick that counts as a check.

The usual cautions of the trade (common practice, no source, but where a line names one), each set closed by deferring
to local codes and licensed practice.
"""

from typing import NamedTuple


class Caution(NamedTuple):
    """`head` is read in a glance, `told` says why."""

    head: str
    told: str


DEFERRAL = "Follow the unit maker’s and the vehicle maker’s instructions first, and your site’s rules and the law where you are. Electrical, lifting, pressure and battery work belongs to people trained and authorised for it; if you are not, stop and ask."

_STRAP = Caution(
    "Never strap on to live parts.",
    "The strap does not protect you from batteries or mains; take it off for exposed mains or over 60 V DC.",
)
_VENT = Caution(
    "Vent first.",
    "Treat the housing as pressurised and stay out of line of the cap; keep retainers on until it is vented. A vacuum may hold a cap, too.",
)
_LITHIUM = Caution(
    "Lithium: watch for heat, hiss, smell, a bulge.", "Suspected flooding is an emergency now, not after the job."
)
_ISOLATE = Caution(
    "Isolate, secure, prove dead.",
    "Wait for capacitors. Never part or mate an internal connector live, and never use an insulation tester with the unit connected.",
)
_FIBRE = Caution(
    "Fibre and optics.",
    "No tight bends; glasses on for a broken fibre, scraps in a closed tub; never look into an end: the light is invisible.",
)
_LIFT = Caution(
    "Lifting gear in date, nobody under the load.",
    "Rated points, tag lines, and people trained for it. High-risk work is not done alone.",
)
_WARM = Caution(
    "Let a cold unit warm up.",
    "Water condenses on fibre and boards when the inner bag is opened early: wait until its surface is 3 °C above the dew point.",
)
_BARE = Caution(
    "Bare electronics.",
    "Touch the frame before the unit; hold it by the metal frame, never by coils or boards; clear tape, cups and foam 30 cm away.",
)
_POWERED = Caution(
    "Hands clear, a second person there.",
    "Isolated supply, current limit at twice the steady draw, nothing loose on the boards. Strap stays on at an isolated 24 V supply, off for anything over 60 V DC.",
)

_SEALS = Caution(
    "Seals, valves and plugs as they were.",
    "A change of any of them needs a review; another person looks at the seals.",
)

CAUTIONS: dict[str, tuple[Caution, ...]] = {
    "sign_esd": (_STRAP, _BARE),
    "check_station": (_STRAP, Caution("Test nothing with a unit on the mat.", "An insulation tester never goes on a line with the unit connected; take units away before the mat is read.")),
    "receive_half": (_WARM, _BARE),
    "record_carton": (_LIFT, _LITHIUM, _WARM),
    "open_carton": (_WARM, Caution("One pair on the mat.", "Two open pairs look alike: put one away before the next is opened.")),
    "open_bag": (_WARM, _BARE, _STRAP),
    "inspect_half": (_BARE, _FIBRE),
    "record_power_up": (_STRAP, _ISOLATE, _POWERED),
    "record_heading_check": (_POWERED, _BARE),
    "record_static_test": (_POWERED, _STRAP, _BARE),
    "record_ship_check": (Caution("On deck, out of the way.", "Clear of lifting gear and of the rail, never alone while the vehicle is powered on deck."), _LITHIUM),
    "open_housing": (_VENT, _LITHIUM, _ISOLATE),
    "close_housing": (_SEALS, _LITHIUM),
    "check_seating": (
        Caution("No second person is replaced at lifting, lithium or over 60 V.", "There another person is present while it is done; neither a photo nor a look afterwards stands in for them."),
        Caution("Never on exposed power.", "Isolate, secure and prove dead before anybody reaches in to look. Cables are looked at, not pulled."),
        _BARE,
    ),
    "record_closing_sheet": (_SEALS, _ISOLATE),
    "load_settings": (_POWERED,),
    "record_readback": (_POWERED,),
    "record_leak_test": (Caution("Vacuum only, within the vehicle maker’s limit.", "Never pressurise from inside unless its maker says so. A passing test does not prove depth."),),
    "install_pair": (_VENT, _ISOLATE, _BARE, _FIBRE),
    "remove_pair": (_VENT, _ISOLATE, _BARE, _FIBRE),
    "swap_pairs": (_VENT, _ISOLATE, _BARE, _FIBRE),
    "move_vehicle": (_LIFT, _LITHIUM),
    "record_sighting": (_VENT, _BARE),
    "record_axis_check": (Caution("Fingers clear of the hull and the cradle.", "Tilt and turn with a second person; nothing slung, nobody under the load."), _LIFT),
    "fit_dvl_run": (Caution("In the water, with somebody at the lines.", "Keep clear of traffic; the run needs legs of hundreds of metres."), _LITHIUM),
    "record_knock": (_LITHIUM, _FIBRE),
}  # fmt: skip
