"""A general list of the tasks of making an all-metal aircraft, for builders without another.

Grouped as such lists are, in our own words (common practice). It is no authority's list: where the
authority has one, that one counts, and is entered in its place.
"""

from typing import NamedTuple


class ListedTask(NamedTuple):
    """A task of the list."""

    group: str
    task: str
    """Short name."""
    title: str


_LIST = """
Fuselage
  fuselage-frames: Frames and bulkheads formed or cut to shape
  fuselage-stringers: Longerons, stringers and stiffeners cut and drilled
  fuselage-skins: Fuselage skins cut, drilled and trimmed
  fuselage-fittings: Fittings and attachments for wings, tail and engine made
  fuselage-prepare: Fuselage parts deburred, dimpled and protected against corrosion
  fuselage-skeleton: Fuselage skeleton jigged, aligned and joined
  fuselage-close: Fuselage skins riveted on
  fuselage-floor: Floors, baggage compartment and covers
  firewall: Firewall made and sealed
  steps-and-fairings: Steps, fairings and inspection covers of the fuselage
Wings
  wing-spars: Wing spars and their doublers made
  wing-ribs: Wing ribs formed, straightened and drilled
  wing-skins: Wing skins cut, drilled and trimmed
  wing-fittings: Wing attachments and hinge brackets made
  wing-prepare: Wing parts deburred, dimpled and protected against corrosion
  wing-skeleton: Wing skeletons joined and checked for twist
  wing-close: Wing skins riveted on
  wing-tips: Wing tips made and fitted
  wing-to-fuselage: Wings fitted to the fuselage, incidence and sweep set
Tail
  fin-parts: Spars, ribs and skins of the fin made
  fin-assembly: Fin joined, checked for twist and closed
  stabiliser-parts: Spars, ribs and skins of the stabiliser made
  stabiliser-assembly: Stabiliser joined, checked for twist and closed
  tail-to-fuselage: Tail fitted to the fuselage and aligned
Control surfaces
  rudder-parts: Parts of the rudder made
  rudder-assembly: Rudder joined and closed
  elevator-parts: Parts of the elevators made
  elevator-assembly: Elevators joined and closed
  aileron-parts: Parts of the ailerons made
  aileron-assembly: Ailerons joined and closed
  flap-parts: Parts of the flaps made
  flap-assembly: Flaps joined and closed
  trim-tabs: Trim tabs made and fitted
  surface-balance: Control surfaces weighed and balanced
Controls
  stick-and-column: Sticks or yokes and their mountings
  pedals: Rudder pedals and brakes of the pedals
  control-rods: Push rods, bell cranks and torque tubes made
  control-cables: Cables, pulleys and turnbuckles fitted
  flap-drive: Flap drive fitted
  trim-drive: Trim drive fitted
  control-travel: Travel of all surfaces set and stops fitted
Landing gear
  main-gear: Main legs made and fitted
  third-wheel: Nose or tail wheel made and fitted
  wheels-and-brakes: Wheels, brakes and their lines fitted
  gear-alignment: Wheels aligned
  gear-fairings: Fairings of legs and wheels
Propulsion
  engine-mount: Engine mount made
  engine-fitting: Engine fitted to its mount
  engine-lines: Oil, fuel and vacuum lines at the engine
  engine-controls: Throttle, mixture and heat controls
  intake-and-exhaust: Intake and exhaust fitted
  cooling: Baffles and cooling ducts made
  cowling: Cowling made and fitted
  propeller: Propeller and spinner fitted
Fuel
  tanks: Tanks made and tested for leaks
  fuel-lines: Fuel lines, valve, filters and vents
  fuel-quantity: Fuel senders and gauges
Cockpit
  seats: Seats and their mountings
  harness: Harnesses and their attachments
  canopy-frame: Frame of the canopy or doors made
  canopy-glazing: Canopy or windows cut and fitted
  windscreen: Windscreen cut and fitted
  panel: Instrument panel made
  heating-and-air: Heating and ventilation
  upholstery: Covers, carpets and linings
Instruments and electrics
  pitot-static: Pitot and static lines
  instruments: Instruments fitted
  wiring: Wiring made and fitted
  battery: Battery, master switch and starter circuit
  lights: Lights
  radio: Radio, antennas and intercom
Finish
  surface: Surfaces cleaned and primed for paint
  paint: Paint and markings
  placards: Placards and labels
  final-assembly: The whole put together for the last time and checked
"""


def _read() -> tuple[ListedTask, ...]:
    found = []
    group = ""
    for line in _LIST.strip().splitlines():
        if line.startswith(" "):
            task, _, title = line.strip().partition(": ")
            found.append(ListedTask(group, task, title))
        else:
            group = line
    return tuple(found)


GENERAL = _read()
