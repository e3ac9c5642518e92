"""A check, a plan and a refusal, asked with a client that another program made from openapi/openapi.json.

    python three_calls.py BASE_URL

The client is the package `brimline_client`, made by `openapi-python-client generate --meta none`. mypy checks this file
and the client with `--strict`: what is asked for below has the type that the document gives it.
"""

import sys

from brimline_client.api.questions import post_flash_point_margin, post_practical
from brimline_client.client import Client
from brimline_client.models import (
    BurningVessel,
    Doing,
    FlashPointMargin,
    FlashPointMarginReply,
    Outcome,
    People,
    PlanStep,
    PlanStock,
    Practical,
    PracticalReply,
    Problem,
    Room,
)


def check(client: Client) -> None:
    """How far is ethanol below its flash point in lab S3 at 21 Cel? Wide bounds: they find a wrong field, unit or sign."""
    asked = FlashPointMargin(liquid="ethanol", room_temperature="21 Cel")
    reply = post_flash_point_margin.sync(client=client, body=asked)
    if not isinstance(reply, FlashPointMarginReply):
        sys.exit(f"three_calls: no answer but {reply}")
    print(reply.sentence)
    flash_point, margin = reply.flash_point, reply.margin
    if not flash_point or flash_point.unit != "Cel" or not 5 < flash_point.value < 15:
        sys.exit(f"three_calls: the flash point is {flash_point}")
    if not margin or margin.unit != "K" or not margin.value < 0 or reply.outcome is not Outcome.OVER_LIMIT:
        sys.exit(f"three_calls: the margin is {margin}, the outcome {reply.outcome}")


def leaf_pigments(solvent: str, volume: str) -> Practical:
    """A lesson in lab S3: eight jars of chromatography solvent for 24 people."""
    jar = BurningVessel(capacity="250 mL", mouth_diameter="4 cm", material="glass")
    return Practical(
        name="Leaf pigments, lab S3",
        room=Room(volume=volume, temperature="21 Cel", air_changes="3 /h", floor_area="70 m2"),
        people=People(nearest="0.6 m", count=24),
        stock=[PlanStock(liquid=solvent, container="250 mL", distance="5 m")],
        ignition=[],
        steps=[
            PlanStep(do=Doing.DRAW, liquid=solvent, amount="40 mL"),
            PlanStep(do=Doing.POUR, liquid=solvent, amount="5 mL", vessel=jar, vessels=8),
            PlanStep(do=Doing.EVAPORATE, duration="25 min"),
            PlanStep(do=Doing.CLEAR),
        ],
    )


def plan(client: Client) -> None:
    """May the lesson be held as planned? Every step and every comparison is answered."""
    reply = post_practical.sync(client=client, body=leaf_pigments("heptane", "190 m3"))
    if not isinstance(reply, PracticalReply):
        sys.exit(f"three_calls: no answer but {reply}")
    print(reply.sentence)
    steps = [step.do for step in reply.steps]
    if steps != [Doing.DRAW, Doing.POUR, Doing.EVAPORATE, Doing.CLEAR] or not reply.checks:
        sys.exit(f"three_calls: the plan is answered with the steps {steps} and {len(reply.checks)} checks")


def refusal(client: Client) -> None:
    """A volume without a unit and a misspelt name are refused in one reply, each with its place."""
    problem = post_practical.sync(client=client, body=leaf_pigments("heptan", "190"))
    if not isinstance(problem, Problem):
        sys.exit("three_calls: a volume without a unit was answered")
    faults = problem.errors or []
    for fault in faults:
        print(f"{fault.pointer}: {fault.detail}")
    pointers = {fault.pointer for fault in faults}
    if problem.status != 422 or not {"/room/volume", "/steps/0/liquid", "/stock/0/liquid"} <= pointers:
        sys.exit(f"three_calls: refused with {problem.status} at {pointers}")


def main() -> None:
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    with Client(base_url=sys.argv[1], raise_on_unexpected_status=True) as client:
        check(client)
        plan(client)
        refusal(client)


if __name__ == "__main__":
    main()
