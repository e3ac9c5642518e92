"""The main figures of `flash-point-margin` as a plain Python service would compute them, for the load comparison alone.

An ASGI application on open property libraries; run it with uvicorn from this folder:

    uvicorn python_service:answer --workers 2 --no-access-log --log-level warning

`POST` with `{"liquid": "ethanol", "room_temperature": "21 Cel"}`. No ranges, no mixtures, no sources, no list of faults: less work than
the service does, so that the comparison leans to this side.
"""

import json
from functools import lru_cache

from chemicals import CAS_from_any
from chemicals.safety import LFL, UFL, T_flash
from thermo import VaporPressure

PRESSURE = 101.325  # kPa
REQUIRED_MARGIN = 5.0  # K


@lru_cache(maxsize=None)
def liquid(name):
    """What does not depend on the request: looked up once."""
    cas = CAS_from_any(name)
    figures = T_flash(cas), LFL(CASRN=cas), UFL(CASRN=cas)
    if None in figures:
        raise ValueError(f"no flash point or no limits of {name}")
    return VaporPressure(CASRN=cas), *figures


def celsius(text):
    number, unit = text.split()
    if unit != "Cel":
        raise ValueError(f"the unit {unit} is not known")
    return float(number)


def margin(request):
    vapour_pressure, flash_point, lower, upper = liquid(request["liquid"])
    temperature = celsius(request.get("room_temperature", "30 Cel"))
    pressure = vapour_pressure.T_dependent_property(temperature + 273.15) / 1000
    # The limits widen with the temperature (modified Burgess-Wheeler, 0.00078 and 0.000721 a kelvin above 25 Cel).
    lower *= 1 - 0.00078 * (temperature - 25)
    upper *= 1 + 0.000721 * (temperature - 25)
    share = pressure / PRESSURE
    condition = "too_lean" if share < lower else "too_rich" if share > upper else "ignitable"
    difference = flash_point - 273.15 - temperature
    over = difference < REQUIRED_MARGIN
    words = "over the limit" if over else "within the limit"
    return {
        "sentence": f"{request['liquid']} at {temperature:g} Cel is {words}: its flash point is {difference:.1f} K above it.",
        "outcome": "over_limit" if over else "within_limit",
        "flash_point": {"value": round(flash_point - 273.15, 1), "unit": "Cel"},
        "liquid_temperature": {"value": temperature, "unit": "Cel"},
        "margin": {"value": round(difference, 1), "unit": "K"},
        "required_margin": {"value": REQUIRED_MARGIN, "unit": "K"},
        "vapour_pressure": {"value": float(f"{pressure:.4g}"), "unit": "kPa"},
        "headspace": {
            "condition": condition,
            "volume_fraction": {"value": float(f"{100 * share:.4g}"), "unit": "%"},
            "lower_flammable_limit": {"value": float(f"{100 * lower:.4g}"), "unit": "%"},
            "upper_flammable_limit": {"value": float(f"{100 * upper:.4g}"), "unit": "%"},
        },
    }


async def answer(scope, receive, send):
    if scope["type"] != "http":
        return
    body, more = b"", True
    while more:
        event = await receive()
        body += event.get("body", b"")
        more = event.get("more_body", False)
    try:
        status, reply = 200, margin(json.loads(body))
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        status, reply = 422, {"detail": str(error)}
    text = json.dumps(reply).encode()
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(text)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": text})
