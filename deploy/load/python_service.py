"""`flash-point-margin` as a plain Python service would answer it, for the load comparison alone.

An ASGI application on open property libraries; run it with uvicorn from this folder:

    uvicorn python_service:answer --workers 2 --no-access-log --log-level warning

`POST` with `{"liquid": "ethanol", "room_temperature": "21 Cel"}` gives the figures that the service gives with `"detail": "figures"`:
each with its low and high end, the limits that were checked, what was assumed, methods, sources, a record with the digest of the
question. What does not depend on the request is looked up or solved for once, as there. No mixtures, no heating, no list of faults:
less work than the service does, so that the comparison leans to this side.
"""

import hashlib
import json
from functools import lru_cache

from chemicals import CAS_from_any
from chemicals.safety import LFL, UFL, T_flash
from thermo import VaporPressure

PRESSURE = 101_325  # Pa
REQUIRED_MARGIN = 5.0  # K
# Shares of a figure, or kelvins, that its low and high end lie apart from it.
OF_PRESSURE, OF_LOWER, OF_UPPER, OF_FLASH_POINT = 0.02, 0.1, 0.2, 3.0
BASIS = {
    "kind": "guidance",
    "text": "A pure liquid is at least this far below its flash point.",
    "source": "memory",
    "confirmed": False,
}
METHODS = ["headspace", "flash_point", "vapour_pressure", "lower_limit_at_temperature", "limit_temperature"]
CAUTIONS = ["hot_surroundings", "upper_limit_indication", "skin_eyes_inhalation", "defer"]


@lru_cache(maxsize=None)
def liquid(name):
    """What does not depend on the request."""
    cas = CAS_from_any(name)
    flash_point, lower, upper = T_flash(cas), LFL(CASRN=cas), UFL(CASRN=cas)
    if None in (flash_point, lower, upper):
        raise ValueError(f"no flash point or no limits of {name}")
    curve = VaporPressure(CASRN=cas)

    def reached(share):
        return curve.solve_property(share * PRESSURE) - 273.15

    at_lower = [reached(lower * (1 + k * OF_LOWER)) for k in (0, -1, 1)]
    at_upper = [reached(upper * (1 + k * OF_UPPER)) for k in (0, -1, 1)]
    return cas, curve, flash_point - 273.15, lower, upper, at_lower, at_upper


def celsius(text):
    number, unit = text.split()
    if unit != "Cel":
        raise ValueError(f"the unit {unit} is not known")
    return float(number)


def figure(value, unit, low, high, digits):
    return {"value": round(value, digits), "unit": unit, "low": round(low, digits), "high": round(high, digits)}


def share(value, part):
    return {
        "value": float(f"{100 * value:.4g}"),
        "unit": "%",
        "low": float(f"{100 * value * (1 - part):.4g}"),
        "high": float(f"{100 * value * (1 + part):.4g}"),
    }


def margin(request):
    name = request["liquid"]
    cas, curve, flash_point, lower, upper, at_lower, at_upper = liquid(name)
    temperature = celsius(request.get("room_temperature", "30 Cel"))
    fraction = curve.T_dependent_property(temperature + 273.15) / PRESSURE
    # The limits widen with the temperature (modified Burgess-Wheeler, 0.00078 and 0.000721 a kelvin above 25 Cel).
    lower *= 1 - 0.00078 * (temperature - 25)
    upper *= 1 + 0.000721 * (temperature - 25)
    lean = fraction * (1 + OF_PRESSURE) < lower * (1 - OF_LOWER)
    rich = fraction * (1 - OF_PRESSURE) > upper * (1 + OF_UPPER)
    difference = flash_point - temperature
    over = difference - OF_FLASH_POINT < REQUIRED_MARGIN
    outcome = "over_limit" if over else "within_limit"
    side, apart = ("above", -difference) if difference < 0 else ("below", difference)
    apart_text = f"{apart:.2g} K {side} its flash point of {flash_point:.3g} Cel"
    shown = figure(difference, "K", difference - OF_FLASH_POINT, difference + OF_FLASH_POINT, 1)
    required = {"value": REQUIRED_MARGIN, "unit": "K"}
    question = json.dumps({"question": "flash-point-margin", "request": request}, sort_keys=True)
    return {
        "sentence": f"{'Over' if over else 'Within'} the limit: {name} at {temperature:g} Cel is {apart_text}; "
        f"it must be {REQUIRED_MARGIN:g} K below.",
        "outcome": outcome,
        "complete": True,
        "liquid": {
            "name": name,
            "id": name,
            "cas": cas,
            "components": [{"substance": name, "cas": cas, "mole_fraction": 1.0, "mass_fraction": 1.0}],
        },
        "flash_point": figure(flash_point, "Cel", flash_point - OF_FLASH_POINT, flash_point + OF_FLASH_POINT, 1),
        "liquid_temperature": {"value": temperature, "unit": "Cel"},
        "margin": shown,
        "required_margin": required,
        "headspace": {
            "condition": "too_lean" if lean else "too_rich" if rich else "ignitable",
            "volume_fraction": share(fraction, OF_PRESSURE),
            "lower_flammable_limit": share(lower, OF_LOWER),
            "upper_flammable_limit": share(upper, OF_UPPER),
        },
        "lower_flammable_temperature": figure(at_lower[0], "Cel", at_lower[1], at_lower[2], 1),
        "upper_flammable_temperature": figure(at_upper[0], "Cel", at_upper[1], at_upper[2], 1),
        "flammable_liquid_category": 2 if flash_point < 23 else 3 if flash_point <= 60 else 4,
        "checks": [
            {
                "check": "flash_point_margin",
                "question": "flash-point-margin",
                "value": shown,
                "limit": required,
                "must_be": "at_least",
                "status": outcome,
                "basis": BASIS,
                "evidence": "measured",
            }
        ],
        "not_given": [],
        "considered": ["flash_point", "headspace"],
        "not_considered": [],
        "assumptions": [{"id": "unknown_pressure"}, {"id": "liquid_at_room_temperature"}],
        "methods": [{"id": method} for method in METHODS],
        "sources": [{"id": "chemicals", "data": ["flash_point", "lower_flammable_limit", "upper_flammable_limit"]},
                    {"id": "thermo", "data": ["vapour_pressure"]}],
        "cautions": [{"id": caution} for caution in CAUTIONS],
        "record": {"service_version": "0", "question_digest": hashlib.sha256(question.encode()).hexdigest()},
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
